"""A limit read directly after a waiting time: without the time, or after too short a one, it says nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from tickover.formats.text.number import AmbiguousNumber, ImplausibleNumber
from tickover.sheets import LimitRow, load_sheet, shipped_sheets, shipped_texts
from tickover.sheets.errors import SheetError
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TYPED, TypedReading
from tickover.workshop.readings.judging import judge, parse
from tickover.workshop.readings.measuring import Measured, fields_for, measure, typed_reading_giving
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import Reading
from tickover.workshop.visits.steps.never import Never, beyond

SHEETS = tuple(shipped_sheets().values())
FINE = Gauge("G-1", "Gauge", "deg C", 0.0, 0.02, 0.0, None, None, True, "", "")


def site(limit_id: str) -> MeasurementContext:
    sheet = next(s for s in SHEETS if any(row.id == limit_id for row in s.limits))
    return MeasurementContext(sheet.limit(limit_id), sheet.geometry)


def take(where: MeasurementContext, value: str, **waited: str) -> Measured:
    typed = {f"of-{name}": text for name, text in waited.items()}
    entry = TypedReading({TYPED: value, **typed})
    return judge(parse(entry, where), where, None, confirmed=False)


@pytest.mark.parametrize(
    ("where", "value", "waited", "decision"),
    [
        ("reseat", "0.7", {"seconds": "30"}, "inside"),
        ("reseat", "0.7", {"seconds": "29.99"}, "not valid"),
        ("reseat", "0.7", {"seconds": "31"}, "inside"),
        ("reseat", "0.7", {"seconds": "0.5 min"}, "inside"),
        ("reseat", "0.7", {"seconds": "0.49 min"}, "not valid"),
        ("reseat", "0.7", {"seconds": "0"}, "not valid"),
        ("reseat", "0.7", {"seconds": "-30"}, "not valid"),
        ("reseat", "0.7", {"seconds": ""}, "not valid"),
        ("reseat", "0.7", {}, "not valid"),
        ("reseat", "0.2", {"seconds": "30"}, "outside"),
        ("cht", "190", {"minutes": "3"}, "inside"),
        ("cht", "190", {"minutes": "2.99"}, "not valid"),
        ("cht", "190", {"minutes": "180 s"}, "inside"),
        ("cht", "190", {"minutes": "179 s"}, "not valid"),
        ("cht", "190", {}, "not valid"),
        ("cht", "245", {"minutes": "3"}, "outside"),
        ("fuel-use-full", "10", {"minutes": "3"}, "inside"),
        ("fuel-use-full", "10", {"minutes": "2.99"}, "not valid"),
        ("fuel-use-full", "10", {}, "not valid"),
    ],
)
def test_both_sides_of_each_waiting_time(
    where: str, value: str, waited: dict[str, str], decision: str
) -> None:
    assert take(site(where), value, **waited).decision == decision


def test_what_is_missing_or_too_short_is_said() -> None:
    cht = site("cht")
    label = "Time at full throttle before reading"
    assert take(cht, "190").not_valid == (f"{label}: not typed, but this test needs at least 3 min.",)
    assert take(cht, "190", minutes="2").not_valid == (
        f"{label}: 2 min, but this test needs at least 3 min.",
    )
    assert take(cht, "190", minutes="2").verdict.probability_inside == 0.0


def test_a_head_too_hot_before_its_time_is_outside() -> None:
    """U = 6 deg C and steps of 1 deg C: u = 3.01, so above 230 + 1.645 u = 234.9 deg C it is surely outside."""
    cht = site("cht")
    early = take(cht, "236", minutes="1")
    assert early.decision == "outside" and "Lean, overloaded" in early.sentence(cht.limit)
    assert early.notes == (
        "Time at full throttle before reading: 1 min, but this test needs at least 3 min.",
    )
    assert take(cht, "234", minutes="1").decision == "not valid"  # this gauge cannot tell
    assert take(cht, "236").decision == "outside" and take(cht, "236", minutes="3").notes == ()
    assert take(cht, "100", minutes="1").decision == "not valid"  # not warm yet: that is what the time is for
    assert take(site("reseat"), "0.2", seconds="1").decision == "not valid"


@pytest.mark.parametrize("minutes", ["", "1", "3"])
def test_a_head_above_its_stop_is_beyond_whatever_the_time(minutes: str) -> None:
    cht, never = site("cht"), Never(None, 250.0, "deg C")
    for value, found in (("250", ()), ("250.1", (250.1,))):
        entry = TypedReading({TYPED: value, "of-minutes": minutes})
        amounts = {p.name: p.value for p in parse(entry, cht)}
        assert beyond(cht, never, amounts, float(value)) == found


def test_a_time_is_never_taken_for_a_reading() -> None:
    cht = site("cht")
    below = Never(100.0, 250.0, "deg C")
    assert beyond(cht, below, {TYPED: 190.0, "of-minutes": 3.0}, 190.0) == ()
    assert measure(cht, {TYPED: 190.0, "of-minutes": 400.0}, FINE).value == 190.0


def test_of_several_readings_only_the_readings_are_averaged() -> None:
    cht = site("cht")
    limit = LimitRow.model_validate(cht.limit.model_dump() | {"repeats": 3, "spread_max": 5.0})
    where = MeasurementContext(limit, cht.geometry)
    typed = {"typed_1": "188", "typed_2": "190", "typed_3": "191"}
    assert [a.name for a in fields_for(where)] == ["typed_1", "typed_2", "typed_3", "of-minutes"]
    for waited, decision in (("3", "inside"), ("2", "not valid")):
        entry = TypedReading({**typed, "of-minutes": waited})
        found = judge(parse(entry, where), where, None, confirmed=False)
        assert (found.value, found.decision) == (190.0, decision)
        assert not found.apart


def test_the_unit_of_the_reading_is_not_that_of_the_time() -> None:
    cht = site("cht")
    entry = TypedReading({TYPED: "374", "of-minutes": "3"}, unit="deg F")
    found = parse(entry, cht)
    assert [(p.value, p.unit) for p in found] == [(pytest.approx(190.0), "deg F"), (3.0, "min")]
    with pytest.raises(ImplausibleNumber):
        parse(TypedReading({TYPED: "374", "of-minutes": "3"}), cht)
    parse(TypedReading({TYPED: "190", "of-minutes": "400"}), cht)  # a long run is no slip of a temperature
    with pytest.raises(AmbiguousNumber) as asked:
        parse(TypedReading({TYPED: "190", "of-minutes": "1,234"}), cht)
    assert asked.value.field == "of-minutes" and len(asked.value.choices) == 2


@pytest.mark.parametrize("limit_id", ["reseat", "cht", "fuel-use-full"])
def test_what_gives_a_value_gives_its_time_too(limit_id: str) -> None:
    where = site(limit_id)
    entry = typed_reading_giving(where, where.limit.nominal or 0.0)
    assert judge(parse(entry, where), where, None, confirmed=False).decision == "inside"


def test_a_line_with_semicolons_gives_the_reading_then_its_time() -> None:
    cht = site("cht")
    assert [p.value for p in parse(TypedReading.of("190; 3"), cht)] == [190.0, 3.0]
    assert [p.value for p in parse(TypedReading.of("190"), cht)] == [190.0]


def test_a_closed_volume_that_a_condition_asks_for_may_not_be_left_out() -> None:
    hold = site("inlet-hold")
    conditions = [*hold.limit.model_dump()["conditions"], {"of": "volume", "lower": 10.0}]
    limit = LimitRow.model_validate(hold.limit.model_dump() | {"conditions": conditions})
    where = MeasurementContext(limit, hold.geometry)
    typed = {"of-start": "0.5", "of-end": "0.49", "of-minutes": "1"}
    for more, decision in (({}, "not valid"), ({"of-volume": "12"}, "inside")):
        entry = TypedReading(typed | more)
        assert judge(parse(entry, where), where, None, confirmed=False).decision == decision


# In a type sheet


def test_a_number_that_this_limit_does_not_ask_for_is_refused() -> None:
    name, text = next(iter(shipped_texts().items()))
    known = 'of = "seconds", lower = 30.0'
    assert known in text
    with pytest.raises(SheetError, match=r"limits\.reseat\.conditions.*start"):
        load_sheet(text.replace(known, 'of = "start", lower = 30.0'), name)


def test_two_conditions_of_one_number_are_refused() -> None:
    facts = site("cht").limit.model_dump()
    twice = [{"of": "minutes", "lower": 3.0}, {"of": "minutes", "upper": 5.0}]
    with pytest.raises(ValueError, match="two conditions; write one with both ends"):
        LimitRow.model_validate(facts | {"conditions": twice})


# On a job


@pytest.fixture
def job(sheet: Any, outer: Any, hands: Any) -> Any:
    return hands.open(outer, "diaphragm-service")


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


def test_a_head_too_hot_after_one_minute_keeps_the_engine_though_it_was_read_again(
    job: Any, by: dict[str, Any], hands: Any, verified: None
) -> None:
    hands.do_all(job, but=("cht",))
    actions.confirm_cautions(job, "cht", **by)
    hot = TypedReading({TYPED: "260", "of-minutes": "1"})
    assert actions.take_reading(job, "cht", hot, **by).decision == "outside"
    good = TypedReading({TYPED: "190", "of-minutes": "3"})
    assert actions.take_reading(job, "cht", good, **by).decision == "inside"
    actions.mark_done(job, "cht", **by)
    (found,) = queries.job_sheet(job).exceedances
    assert found.cases[0].said.startswith("260 deg C read (never more than 250 deg C")
    with pytest.raises(VisitError, match="260"):
        hands.release(job)


def test_without_its_time_a_reading_keeps_the_engine_from_release(
    job: Any, by: dict[str, Any], hands: Any, verified: None
) -> None:
    hands.do_all(job, but=("cht",))
    actions.confirm_cautions(job, "cht", **by)
    assert actions.take_reading(job, "cht", "190", **by).decision == "not valid"
    actions.mark_done(job, "cht", **by)
    with pytest.raises(VisitError, match="test not valid"):
        hands.release(job)


def test_the_form_asks_for_the_time_and_says_why(
    job: Any, crew: Any, signed_in: Callable[..., Client], hands: Any, verified: None
) -> None:
    hands.do_all(job, but=("cht",))
    actions.confirm_cautions(job, "cht", who=crew.technician, at=hands.at)
    client = signed_in(crew.technician)
    address = f"/visits/{job.number}/steps/cht/"
    page = client.get(address).content.decode()
    assert 'name="of-minutes"' in page and "This test needs at least 3 min." in page
    assert "Without it the reading does not count." in page and "Optional." not in page
    page = client.post(f"{address}reading/", {"typed": "190", "of-minutes": ""}, follow=True).content.decode()
    assert Reading.objects.latest("pk").decision == "not valid"
    assert "not typed, but this test needs at least 3 min." in page
    client.post(f"{address}reading/", {"typed": "190", "of-minutes": "3"})
    assert Reading.objects.latest("pk").decision == "inside"
