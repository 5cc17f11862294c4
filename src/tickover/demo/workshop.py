"""Builds the demo workshop: 24 engines and two years of flying and work, the same for the same seed."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

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
from tickover.workshop.register import actions as register
from tickover.workshop.register import queries
from tickover.workshop.register.models import Engine

SEED = 1850
YEARS = 2
FIRST_SERIAL = 1168
TRY_THIS = "try-this-track-log.igc"
DUE_BY_ONE_FLIGHT = "Tern 3"


@transaction.atomic
def build_demo(now: datetime, *, seed: int = SEED, fleet: tuple[Part, ...] = FLEET) -> None:
    """Fill an empty workshop. All of it goes through the actions; nothing is written beside them."""
    rng = np.random.default_rng(seed)
    today = now.date()
    begin = now - timedelta(days=round(365.25 * YEARS))
    people.set_up_workshop(*WORKSHOP, is_demo=True, works_alone=False, at=begin)
    for name, text in shipped_texts().items():
        register.keep_sheet(text, name, actor="tickover", at=begin)
    crew = {new.username: people.add_person(new, at=begin) for new in PEOPLE}
    engines = _register_fleet(fleet, crew["noor"], begin)
    benches = [benchwork.Bench(engine, crew, rng) for engine in engines]
    weeks = [weekly_hours(rng, part.hours_a_year, begin.date(), today) for part in fleet]
    for week in range(len(weeks[0])):
        sunday = begin.date() + timedelta(days=7 * week + 6)
        for bench, hours in zip(benches, weeks, strict=True):
            _one_week(bench, float(hours[week]), sunday, today, rng)
    _last_logs(engines, crew["mara"], now, rng)
    _leave_one_nearly_due(benches, crew["mara"], now)
    _lay_a_log_beside(now, rng)


def _register_fleet(fleet: tuple[Part, ...], manager: Person, at: datetime) -> list[Engine]:
    sheet = queries.newest_sheet(next(iter(_shipped_ids())))
    owners = {
        name: register.add_owner(name, who=manager, at=at) for name in dict.fromkeys(p.owner for p in fleet)
    }
    engines = []
    for number, part in enumerate(fleet):
        serial = FIRST_SERIAL + 5 * number
        build = next(b for b in sheet.builds if (b.serial_from or 0) <= serial <= (b.serial_to or 10**9))
        new = register.NewEngine(part.name, str(serial), sheet.id, build.id, at.date())
        engine = register.add_engine(new, owners[part.owner], who=manager, at=at)
        sd_h = 0.03 * part.came_with_h + 0.1
        register.enter_hours(
            engine,
            register.TypedHours(part.came_with_h, sd_h, at.date(), "log entry", "brought forward"),
            who=manager,
            at=at,
        )
        engines.append(engine)
    return engines


def _shipped_ids() -> list[str]:
    from tickover.sheets import shipped_sheets

    return sorted(shipped_sheets())


def _one_week(
    bench: benchwork.Bench, hours: float, sunday: date, today: date, rng: np.random.Generator
) -> None:
    evening = datetime.combine(sunday, time(18, 0), tzinfo=benchwork.ZONE)
    if hours >= 0.1:
        typed = register.TypedHours(
            round(hours, 1), 0.05 + 0.02 * hours, sunday, "log entry", "week's flying, by the pilots' log"
        )
        register.enter_hours(bench.engine, typed, who=bench.crew["mara"], at=evening)
        bench.fly(round(hours, 1))
    # What fell due in the last weeks is left for the visitor.
    if (today - sunday).days > 21:
        bench.do_what_is_due(evening + timedelta(hours=15))


def _last_logs(engines: list[Engine], who: Person, now: datetime, rng: np.random.Generator) -> None:
    """The newest flights of some engines came as track logs."""
    for days_ago, engine in zip((12, 9, 8, 6, 5, 4), engines[::4], strict=True):
        start = _at(now - timedelta(days=days_ago), 9)
        data = make_igc(rng, start, [(2.0, 31.0), (44.0, 58.0)])
        register.add_track_log(
            engine, data, f"{start:%Y-%m-%d}-flight.igc", who=who, at=start + timedelta(hours=6)
        )


def _leave_one_nearly_due(benches: list[benchwork.Bench], who: Person, now: datetime) -> None:
    """One engine stands a few minutes before its diaphragm service, so that one track log makes it due."""
    for bench in benches:
        left = bench.left_h(benchwork.DIAPHRAGMS)
        if bench.engine.name == DUE_BY_ONE_FLIGHT and left > 0.3:
            day = (now - timedelta(days=3)).date()
            typed = register.TypedHours(
                round(left - 0.2, 2), 0.2, day, "log entry", "expedition, by the pilots' log"
            )
            register.enter_hours(bench.engine, typed, who=who, at=now - timedelta(days=3))


def _lay_a_log_beside(now: datetime, rng: np.random.Generator) -> None:
    data = make_igc(rng, _at(now - timedelta(days=1), 10), [(1.5, 27.0), (41.0, 55.5)])
    (settings.DATA / TRY_THIS).write_bytes(data)


def _at(moment: datetime, hour: int) -> datetime:
    return moment.replace(hour=hour, minute=12, second=0, microsecond=0)
