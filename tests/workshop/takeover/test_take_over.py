"""An engine that comes from elsewhere: its hours, overhaul and parts go in together, its services are not known."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.components import queries as components
from tickover.workshop.components.actions import NewComponent
from tickover.workshop.engine_time import meter_actions
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import queries as journal
from tickover.workshop.programme import queries as programme
from tickover.workshop.register.models import Engine, Owner
from tickover.workshop.takeover.actions import ComingEngine, HoursNow, OverhauledBefore, take_over
from tickover.workshop.takeover.refusal import TakeOverError

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def coming(sheet: Any, now: datetime) -> ComingEngine:
    hours = HoursNow(230.0, now.date(), "log entry", "logbook 1, page 34")
    return ComingEngine("1310", sheet.sheet_id, "Nils Tarn", hours)


def test_the_build_is_read_from_the_serial(coming: ComingEngine, crew: Any, now: datetime) -> None:
    engine = take_over(coming, who=crew.technician, at=now)
    assert (engine.build_id, engine.name, engine.owner.name) == ("external-pulse", "1310", "Nils Tarn")
    other = replace(coming, serial="1777", hours=HoursNow(0.0, now.date()))
    assert take_over(other, who=crew.technician, at=now).build_id == "internal-pulse"


def test_nothing_is_overdue_on_an_engine_that_came_with_hours(
    coming: ComingEngine, crew: Any, now: datetime
) -> None:
    engine = take_over(coming, who=crew.technician, at=now)
    lines = programme.due_lines(engine, now.date() + timedelta(days=900))
    assert {line.not_known for line in lines if not line.task.on_condition} == {True}
    assert not any(line.state == "over tolerance" for line in lines)


def test_a_new_engine_counts_from_its_first_day(coming: ComingEngine, crew: Any, now: datetime) -> None:
    engine = take_over(replace(coming, hours=HoursNow(0.0, now.date())), who=crew.technician, at=now)
    lines = programme.due_lines(engine, now.date())
    assert not any(line.not_known for line in lines)
    assert {line.state for line in lines} <= {"not yet", "due soon"}


def test_the_hours_say_where_they_are_from(coming: ComingEngine, crew: Any, now: datetime) -> None:
    engine = take_over(coming, who=crew.technician, at=now)
    total = engine_time.total_time(engine)
    assert (total.hours_h, total.by_grade) == (230.0, (("log entry", 230.0),))
    assert engine_time.time_lines(engine)[0].method == "brought forward from logbook 1, page 34"
    kinds = [line.kind for line in journal.about("engine/1310")]
    assert kinds == ["last times not known", "engine time entered", "engine added"]


def test_hours_since_overhaul_make_two_entries(coming: ComingEngine, crew: Any, now: datetime) -> None:
    overhauled = replace(coming, overhaul=OverhauledBefore(80.0, date(2023, 4, 2)))
    engine = take_over(overhauled, who=crew.technician, at=now)
    since = components.time_since_overhaul(engine, now)
    assert since is not None
    assert (since.time.hours_h, since.overhaul.engine_h) == (80.0, 150.0)
    assert engine_time.total_time(engine).hours_h == 230.0


def test_a_meter_goes_on_from_what_it_shows(coming: ComingEngine, crew: Any, now: datetime) -> None:
    metered = replace(coming, hours=HoursNow(230.0, now.date(), "engine meter", "meter in the panel"))
    engine = take_over(metered, who=crew.technician, at=now)
    later = now + timedelta(days=3)
    reading = meter_actions.TypedMeterReading(232.5, later)
    meter_actions.read_meter(engine, reading, who=crew.technician, at=later)
    assert engine_time.total_time(engine).hours_h == pytest.approx(232.5)


def test_parts_come_with_hours_of_their_own(coming: ComingEngine, crew: Any, now: datetime) -> None:
    part = NewComponent("carburettor", "Carburettor", "C-9", 120.0)
    engine = take_over(replace(coming, components=(part,)), who=crew.technician, at=now)
    line = components.components_on(engine, now)[0]
    assert (str(line.component), line.time.hours_h) == ("Carburettor C-9", 120.0)


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        ({"hours": HoursNow(230.0, date(2025, 5, 6), source="page 1")}, "read_on", "still to come"),
        ({"hours": HoursNow(230.0, date(2025, 5, 5))}, "source", "where the hours are written"),
        ({"hours": HoursNow(25_000.0, date(2025, 5, 5), source="x")}, "hours_h", "cannot be"),
        ({"hours": HoursNow(5.0, date(2025, 5, 5), "a guess", "x")}, "grade", "Hours are entered by"),
        ({"overhaul": OverhauledBefore(231.0, date(2024, 1, 1))}, "since_overhaul_h", "more than the 230 h"),
        ({"overhaul": OverhauledBefore(1.0, date(2025, 6, 1))}, "overhauled_on", "after the day"),
        ({"build_id": "internal-pulse"}, "build", "“External pulse hose”, not “Internal pulse passage”"),
        ({"serial": "X-7"}, "build", "Choose the build by its look"),
    ],
)
def test_what_cannot_be_says_so_at_its_field_and_saves_nothing(
    coming: ComingEngine, crew: Any, now: datetime, change: dict[str, Any], field: str, sentence: str
) -> None:
    with pytest.raises(TakeOverError, match=sentence) as caught:
        take_over(replace(coming, **change), who=crew.technician, at=now)
    assert caught.value.field == field
    assert not Engine.objects.exists() and not Owner.objects.filter(name="Nils Tarn").exists()


def test_one_serial_is_one_engine_however_it_is_written(
    coming: ComingEngine, crew: Any, now: datetime
) -> None:
    first = replace(coming, serial="v-12", name="First", build_id="external-pulse")
    take_over(first, who=crew.technician, at=now)
    with pytest.raises(TakeOverError, match="Serial v-12 is in the register already: First") as caught:
        take_over(replace(first, serial="V-12", name="Second"), who=crew.technician, at=now)
    assert caught.value.field == "serial"
    with pytest.raises(TakeOverError, match="called First"):
        take_over(replace(first, serial="V-13", name="first"), who=crew.technician, at=now)


def test_a_rebuilt_engine_keeps_the_build_that_was_chosen(
    coming: ComingEngine, crew: Any, now: datetime
) -> None:
    rebuilt = replace(coming, build_id="internal-pulse", rebuilt=True)
    assert take_over(rebuilt, who=crew.technician, at=now).build_id == "internal-pulse"


def test_a_part_that_cannot_be_leaves_no_engine_behind(
    coming: ComingEngine, crew: Any, now: datetime
) -> None:
    part = NewComponent("carburettor", "Carburettor", "C-9", 120.0)
    take_over(replace(coming, components=(part,)), who=crew.technician, at=now)
    second = replace(coming, serial="1311", components=(part,))
    with pytest.raises(TakeOverError, match="carburettor with serial C-9"):
        take_over(second, who=crew.technician, at=now)
    assert Engine.objects.count() == 1
