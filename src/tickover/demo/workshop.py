"""Builds the demo workshop: 24 engines and two years of flying and work, the same for the same seed."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import numpy as np
from django.conf import settings
from django.db import transaction

from tickover.demo import benchwork
from tickover.demo.cast import FLEET, PEOPLE, WORKSHOP, Part
from tickover.demo.flying import weekly_hours
from tickover.demo.tracklogs import make_igc
from tickover.sheets import shipped_texts
from tickover.workshop.people import actions as people
from tickover.workshop.people.models import Person
from tickover.workshop.programme import bulletin_actions as bulletins
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.bulletin_actions import BulletinWords
from tickover.workshop.register import actions as register
from tickover.workshop.register import component_actions as components
from tickover.workshop.register import queries
from tickover.workshop.register.models import Engine, Owner

SEED = 1850
WEEKS = 102
FIRST_SERIAL = 1380
JOINED_OVER_DAYS = 300
WEEKS_WITHOUT_WORK = 2
LEFT_H = 0.2


@transaction.atomic
def build_demo(now: datetime, *, seed: int = SEED, fleet: tuple[Part, ...] = FLEET) -> None:
    """Fill an empty workshop. All of it goes through the actions, in the order of time."""
    rng = np.random.default_rng(seed)
    begin = datetime.combine((now - timedelta(weeks=WEEKS + 2)).date(), time(8), UTC)
    people.set_up_workshop(*WORKSHOP, is_demo=True, works_alone=False, at=begin)
    sheets = [
        register.keep_sheet(text, name, actor="tickover", at=begin) for name, text in shipped_texts().items()
    ]
    crew = {new.username: people.add_person(new, at=begin) for new in PEOPLE}
    flying = [weekly_hours(rng, part.hours_a_year, begin.date(), WEEKS) for part in fleet]
    benches: dict[str, benchwork.Bench] = {}
    for week in range(WEEKS):
        sunday = begin + timedelta(days=7 * week + 6, hours=10)
        for number, part in enumerate(fleet):
            if part.name in benches:
                _a_weeks_flying(benches[part.name], float(flying[number][week]), sunday)
            elif sunday - begin > timedelta(days=JOINED_OVER_DAYS * (7 * number % len(fleet)) / len(fleet)):
                engine = _join(part, number, sheets[0].sheet_id, crew["noor"], sunday)
                benches[part.name] = benchwork.Bench(engine, crew, rng)
        if week < WEEKS - WEEKS_WITHOUT_WORK:
            _a_weeks_work(list(benches.values()), sunday)
    _a_bulletin(sheets[0].sheet_id, crew, now)
    _last_logs([b.engine for b in benches.values()], crew["mara"], now, rng)
    _leave_one_nearly_due(list(benches.values()), crew["mara"], now)
    data = make_igc(rng, _morning(now - timedelta(days=1)), [(1.5, 27.0), (41.0, 55.5)])
    (settings.DATA / settings.TRACK_LOG_TO_TRY).write_bytes(data)


def _join(part: Part, number: int, sheet_id: str, manager: Person, at: datetime) -> Engine:
    sheet = queries.newest_sheet(sheet_id)
    serial = FIRST_SERIAL + 11 * number
    build = next(b for b in sheet.builds if (b.serial_from or 0) <= serial <= (b.serial_to or 10**9))
    owner = Owner.objects.filter(name=part.owner).first() or register.add_owner(
        part.owner, who=manager, at=at
    )
    new = register.NewEngine(part.name, str(serial), sheet_id, build.id, at.date())
    engine = register.add_engine(new, owner, who=manager, at=at)
    sd_h = 0.03 * part.came_with_h + 0.1
    typed = register.TypedHours(part.came_with_h, sd_h, at.date(), "log entry", "brought forward")
    register.enter_hours(engine, typed, who=manager, at=at)
    new_here = components.NewComponent("carburettor", "Carburettor", f"C-{serial}", part.came_with_h, sd_h)
    carburettor = components.add_component(new_here, who=manager, at=at)
    components.fit(carburettor, engine, components.Done(when=at, who=manager, at=at))
    return engine


def _a_weeks_flying(bench: benchwork.Bench, hours_h: float, sunday: datetime) -> None:
    hours_h = round(hours_h, 1)
    if hours_h > 0:
        method = "week's flying, by the pilots' log"
        typed = register.TypedHours(hours_h, 0.05 + 0.02 * hours_h, sunday.date(), "log entry", method)
        register.enter_hours(bench.engine, typed, who=bench.crew["mara"], at=sunday)
        bench.now_h += hours_h


def _a_weeks_work(benches: list[benchwork.Bench], sunday: datetime) -> None:
    clock = sunday + timedelta(hours=14)
    for bench in benches:
        clock = bench.do_what_is_due(clock)


def _a_bulletin(sheet_id: str, crew: dict[str, Person], now: datetime) -> None:
    """A bulletin of an invented authority came in, and was looked into on the first engine it is for."""
    at = now - timedelta(days=10)
    words = BulletinWords(
        identifier=f"WAO-{at.year}-17",
        issued_by="Wealdmoor Air Office (invented)",
        title="Cracked insulator under the inlet flange",
        sheet_id=sheet_id,
        serial_from=FIRST_SERIAL,
        serial_to=FIRST_SERIAL + 11 * 7,
        issued_on=(now - timedelta(days=24)).date(),
        mandatory=True,
        within_h=25.0,
        due_on=(now + timedelta(days=20)).date(),
        every_h=100.0,
        method="Carburettor off. Look at both faces of the insulator with a 10x lens. A crack: renew it.",
    )
    bulletin = bulletins.add_bulletin(words, who=crew["noor"], at=at)
    engine = Engine.objects.get(serial=str(FIRST_SERIAL))
    done = bulletins.Compliance("done", at.date(), "looked at with a 10x lens, no crack")
    bulletins.record_bulletin(bulletin, engine, done, who=crew["ivo"], at=at)


def _last_logs(engines: list[Engine], who: Person, now: datetime, rng: np.random.Generator) -> None:
    """The newest flights of some engines came as track logs."""
    for days_ago, engine in zip((9, 8, 7, 6, 5, 4), engines[::4], strict=False):
        start = _morning(now - timedelta(days=days_ago))
        data = make_igc(rng, start, [(2.0, 31.0), (44.0, 58.0)])
        name = f"{start:%Y-%m-%d}-flight.igc"
        register.add_track_log(engine, data, name, who=who, at=start + timedelta(hours=6))


def _leave_one_nearly_due(benches: list[benchwork.Bench], who: Person, now: datetime) -> None:
    """One engine stands a few minutes before its diaphragm service, so that one track log makes it due."""
    due = [programme.due_of(b.engine, benchwork.DIAPHRAGMS, now.date()) for b in benches]
    left_h = {
        d.engine: d.left_h or 0.0 for d in due if d.state == "not yet" or d.heading.chance_by_hours > 0.5
    }
    engine = min((e for e in left_h if left_h[e] > LEFT_H), key=lambda e: left_h[e])
    at = now - timedelta(days=3)
    method = "a few days away, by the pilots' log"
    typed = register.TypedHours(round(left_h[engine] - LEFT_H, 2), 0.1, at.date(), "log entry", method)
    register.enter_hours(engine, typed, who=who, at=at)


def _morning(moment: datetime) -> datetime:
    return moment.replace(hour=9, minute=12, second=0, microsecond=0)
