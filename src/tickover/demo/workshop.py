"""Builds the demo workshop: 24 engines and two years of flying and work, the same for the same seed."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import numpy as np
from django.conf import settings
from django.db import transaction
from numpy.typing import NDArray

from tickover.demo import benchwork, runups, trouble, unfinished
from tickover.demo.cast import FLEET, PEOPLE, WORKSHOP, DemoComponent
from tickover.demo.course import DemoCourse
from tickover.demo.cupboard import Cupboard
from tickover.demo.flying import weekly_hours
from tickover.demo.tracklogs import make_igc
from tickover.sheets import shipped_texts
from tickover.workshop.components import actions as components
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.people import actions as people
from tickover.workshop.people.models import Person
from tickover.workshop.programme import bulletin_actions as bulletins
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.bulletin_actions import BulletinWords
from tickover.workshop.register import actions as register
from tickover.workshop.register import queries
from tickover.workshop.register.models import Engine, Owner
from tickover.workshop.visits import actions as visit_actions

SEED = 1850
WEEKS = 102
FIRST_SERIAL = {"velisk-130": 810, "velisk-185": 1380, "velisk-230": 480}
JOINED_OVER_DAYS = 300
WEEKS_WITHOUT_WORK = 1
WEEKS_ALL_BY_CARD = 4
WEEKS_WITH_INSTRUMENTS = 8
LEFT_H = 0.2


@transaction.atomic
def build_demo(now: datetime, *, seed: int = SEED, fleet: tuple[DemoComponent, ...] = FLEET) -> None:
    """Fill an empty workshop. All of it goes through the actions, in the order of time."""
    rng = np.random.default_rng(seed)
    begin = datetime.combine((now - timedelta(weeks=WEEKS + 2)).date(), time(8), UTC)
    people.set_up_workshop(*WORKSHOP, is_demo=True, works_alone=False, at=begin)
    for name, text in shipped_texts().items():
        register.keep_sheet(text, name, actor="tickover", at=begin)
    crew = {new.username: people.add_person(new, at=begin) for new in PEOPLE}
    flying = [weekly_hours(rng, part.hours_a_year, begin.date(), WEEKS) for part in fleet]
    stocked = _sunday(begin, WEEKS - WEEKS_WITH_INSTRUMENTS)
    cupboard = Cupboard(now, stocked.date())
    benches: dict[str, benchwork.DemoBench] = {}
    for week in range(WEEKS):
        sunday = _sunday(begin, week)
        if sunday == stocked:
            cupboard.stock(crew["ivo"], sunday)
        for number, part in enumerate(fleet):
            if part.name in benches:
                _a_weeks_flying(benches[part.name], float(flying[number][week]), sunday)
            elif sunday - begin > timedelta(days=JOINED_OVER_DAYS * (7 * number % len(fleet)) / len(fleet)):
                engine = _join(part, number, crew["noor"], sunday)
                course = _course(engine, part, week, flying[number], rng)
                benches[part.name] = benchwork.DemoBench(engine, crew, rng, course, cupboard)
        if WEEKS - week in runups.WEEKS_BEFORE_END and runups.ENGINE in benches:
            runups.add_accepted(benches[runups.ENGINE].engine, crew["tamsin"], rng, sunday)
        _a_weeks_work(list(benches.values()), week, sunday)
    _a_bulletin(crew, now)
    _last_logs([b.engine for b in benches.values()], crew["mara"], now, rng)
    _leave_one_nearly_due(list(benches.values()), crew["mara"], now)
    _what_is_going_on(benches, crew, now, rng)
    data = make_igc(rng, _morning(now - timedelta(days=1)), [(1.5, 27.0), (41.0, 55.5)])
    (settings.DATA / settings.TRACK_LOG_TO_TRY).write_bytes(data)


def _join(part: DemoComponent, number: int, manager: Person, at: datetime) -> Engine:
    sheet = queries.newest_sheet(part.sheet_id)
    serial = part.serial or FIRST_SERIAL[part.sheet_id] + 11 * number
    build = sheet.build_of_serial(serial)
    assert build is not None, f"no build of {sheet.title} has serial {serial}"
    owner = Owner.objects.filter(name=part.owner).first() or register.add_owner(
        part.owner, who=manager, at=at
    )
    new = register.NewEngine(part.name, str(serial), sheet.id, build.id, at.date())
    engine = register.add_engine(new, owner, who=manager, at=at)
    sd_h = 0.03 * part.came_with_h + 0.1
    typed = time_actions.TypedHours(part.came_with_h, sd_h, at.date(), "log entry", "brought forward")
    time_actions.enter_hours(engine, typed, who=manager, at=at)
    new_here = components.NewComponent("carburettor", "Carburettor", f"C-{serial}", part.came_with_h, sd_h)
    carburettor = components.add_component(new_here, who=manager, at=at)
    components.fit(carburettor, engine, components.ComponentChange(when=at, who=manager, at=at))
    return engine


def _course(
    engine: Engine, part: DemoComponent, week: int, hours_h: NDArray[np.float64], rng: np.random.Generator
) -> DemoCourse:
    tasks = [
        t for t in queries.build_of(engine).programme if t.card and (t.first_after_h or not t.on_condition)
    ]
    course = DemoCourse(tasks, part.came_with_h, week)
    course.brought_forward(rng)
    course.flown(hours_h, WEEKS - max(WEEKS_WITHOUT_WORK, part.weeks_away))
    return course


def _a_weeks_flying(bench: benchwork.DemoBench, hours_h: float, sunday: datetime) -> None:
    hours_h = round(hours_h, 1)
    if hours_h > 0:
        method = "week's flying, by the pilots' log"
        typed = time_actions.TypedHours(hours_h, 0.05 + 0.02 * hours_h, sunday.date(), "log entry", method)
        time_actions.enter_hours(bench.engine, typed, who=bench.crew["mara"], at=sunday)


def _a_weeks_work(benches: list[benchwork.DemoBench], week: int, sunday: datetime) -> None:
    clock = (sunday + timedelta(days=1)).replace(hour=8)
    for bench in benches:
        clock = bench.work(week, clock, all_by_card=week >= WEEKS - WEEKS_ALL_BY_CARD)


def _a_bulletin(crew: dict[str, Person], now: datetime) -> None:
    """A bulletin of an invented authority came in, and was looked into on the first engine it is for."""
    at, first = now - timedelta(days=10), FIRST_SERIAL["velisk-185"]
    words = BulletinWords(
        identifier=f"WAO-{at.year}-17",
        issued_by="Wealdmoor Air Office (invented)",
        title="Cracked insulator under the inlet flange",
        sheet_id="velisk-185",
        serial_from=first,
        serial_to=first + 11 * 7,
        issued_on=(now - timedelta(days=24)).date(),
        mandatory=True,
        within_h=25.0,
        due_on=(now + timedelta(days=20)).date(),
        every_h=100.0,
        method="Carburettor off. Look at both faces of the insulator with a 10x lens. A crack: renew it.",
    )
    bulletin = bulletins.add_bulletin(words, who=crew["noor"], at=at)
    engine = Engine.objects.get(serial=str(first))
    done = bulletins.Compliance("done", at.date(), "looked at with a 10x lens, no crack")
    bulletins.record_bulletin(bulletin, engine, done, who=crew["ivo"], at=at)


def _last_logs(engines: list[Engine], who: Person, now: datetime, rng: np.random.Generator) -> None:
    """The newest flights of some engines came as track logs."""
    for days_ago, engine in zip((9, 8, 7, 6, 5, 4), engines[::4], strict=False):
        start = _morning(now - timedelta(days=days_ago))
        data = make_igc(rng, start, [(2.0, 31.0), (44.0, 58.0)])
        name = f"{start:%Y-%m-%d}-flight.igc"
        time_actions.add_track_log(engine, data, name, who=who, at=start + timedelta(hours=6))


def _leave_one_nearly_due(benches: list[benchwork.DemoBench], who: Person, now: datetime) -> None:
    """One engine stands a few minutes before its diaphragm service, so that one track log makes it due."""
    due = [programme.due_of(b.engine, benchwork.DIAPHRAGMS, now.date()) for b in benches]
    left_h = {
        d.engine: d.left_h or 0.0 for d in due if d.state == "not yet" or d.heading.chance_by_hours > 0.5
    }
    engine = min((e for e in left_h if left_h[e] > LEFT_H), key=lambda e: left_h[e])
    at = now - timedelta(days=3)
    method = "a few days away, by the pilots' log"
    typed = time_actions.TypedHours(round(left_h[engine] - LEFT_H, 2), 0.1, at.date(), "log entry", method)
    time_actions.enter_hours(engine, typed, who=who, at=at)


def _what_is_going_on(
    benches: dict[str, benchwork.DemoBench], crew: dict[str, Person], now: datetime, rng: np.random.Generator
) -> None:
    """The last days, on the engines that this fleet has: trouble, a job half way, a defect, a run-up."""
    mara, ivo, tamsin, morning = crew["mara"], crew["ivo"], crew["tamsin"], _morning(now)
    was_in_trouble = None
    if bench := benches.get(trouble.ENDED_ON):
        was_in_trouble = _put_right(bench, mara, rng, morning - timedelta(days=3))
    if bench := benches.get(unfinished.DEFECT_ON):
        unfinished.defer_one(bench.engine, mara, ivo, morning - timedelta(days=2, hours=1), now)
    if bench := benches.get(unfinished.JOB_ON):
        at = morning - timedelta(days=2)
        job = visit_actions.open_job(bench.engine, unfinished.TASK, who=mara, at=at)
        runups.add_recording(job, mara, rng, at)
        unfinished.hand_over(job, mara, tamsin, bench.begin(job, at, unfinished.FOUND_AT))
    if bench := benches.get(unfinished.BACK_ON):
        unfinished.to_hand_back(bench, morning - timedelta(days=1, hours=4))
    if bench := benches.get(unfinished.CHECK_ON):
        unfinished.waits_for_a_check(bench, morning - timedelta(hours=1))
    if was_in_trouble:
        trouble.cured(was_in_trouble, mara, morning - timedelta(days=1, hours=1))
    if bench := benches.get(trouble.OPEN_ON):
        trouble.half_way(bench.engine, mara, morning - timedelta(days=1))
    if bench := benches.get(runups.ENGINE):
        runups.add_new(bench.engine, tamsin, rng, morning - timedelta(hours=22))


def _put_right(bench: benchwork.DemoBench, who: Person, rng: np.random.Generator, at: datetime) -> Session:
    """Trouble whose cause was found: run up, put right, run up again, released."""
    session, job = trouble.ended(bench.engine, who, at)
    started = at + timedelta(hours=1)
    runups.add_of_job(job, "before", who, rng, started)
    free = bench.begin(job, started, found=trouble.FOUND_WITH_IT)
    runups.add_of_job(job, "after", who, rng, free)
    bench.release(job, free + timedelta(minutes=20))
    return session


def _sunday(begin: datetime, week: int) -> datetime:
    return begin + timedelta(days=7 * week + 6, hours=10)


def _morning(moment: datetime) -> datetime:
    return moment.replace(hour=9, minute=12, second=0, microsecond=0)
