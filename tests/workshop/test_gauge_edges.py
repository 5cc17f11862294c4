"""Both sides of every edge of an instrument: its quantity, its kind, its range, and the day it is due."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tickover.workshop.bench import actions as bench
from tickover.workshop.bench.actions import BenchError, DoubtfulInstrumentError, Entry
from tickover.workshop.bench.models import Reading
from tickover.workshop.instruments import actions, queries
from tickover.workshop.instruments.actions import InstrumentError, NewCalibration, NewInstrument
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.instruments.models import Placing

pytestmark = pytest.mark.usefixtures("verified")

NEW = NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02, 0.0, 0.0, 25.0, "77", "drawer 2")
SERVICE, LEVER = "diaphragm-service", "lever-height"
DAY = timedelta(days=1)


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauge(by: dict[str, Any]) -> Any:
    return actions.add_instrument(NEW, **by)


@pytest.fixture
def service(outer: Any, hands: Any, sheet_with: Any) -> Any:
    """A job whose lever is read with a depth gauge."""
    sheet_with("limits", LEVER, instrument_kind="depth-gauge", repeats=1, computed="")
    return hands.open(outer, SERVICE)


def read(service: Any, by: dict[str, Any], number: str = "DG-1", **more: Any) -> Reading:
    return bench.take_reading(service, LEVER, Entry({"typed": "1.4"}, instrument=number, **more), **by)


# What it reads


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({}, True),
        ({"unit": "in"}, True),
        ({"unit": "bar"}, False),
        ({"unit": "deg C"}, False),
        ({"kind": "micrometer"}, False),
        ({"kind": "pressure-gauge", "unit": "bar"}, False),
    ],
)
def test_only_an_instrument_of_the_kind_and_the_quantity_is_accepted(
    service: Any, by: dict[str, Any], now: Any, change: dict[str, Any], fits: bool
) -> None:
    row = actions.add_instrument(replace(NEW, **change), **by)
    actions.calibrate(row, NewCalibration(now.date(), "C-1"), **by)
    if fits:
        assert read(service, by).instrument == row
        return
    with pytest.raises(BenchError, match="Nothing was kept") as caught:
        read(service, by)
    assert row.kind_in_words in str(caught.value) and row.unit in str(caught.value)
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("unit", "asked", "reads"),
    [("mm", "mm", True), ("in", "mm", True), ("psi", "bar", True), ("bar", "mm", False), ("mm", "kg", False)],
)
def test_an_instrument_reads_the_units_of_its_quantity(
    by: dict[str, Any], unit: str, asked: str, reads: bool
) -> None:
    row = actions.add_instrument(replace(NEW, unit=unit), **by)
    assert queries.reads(row, asked) is reads
    assert [line.instrument for line in queries.offered("depth-gauge", asked)] == ([row] if reads else [])


# Its calibration


@pytest.mark.parametrize(("days", "out"), [(-1, False), (0, False), (1, True), (400, True)])
def test_a_critical_step_asks_to_acknowledge_from_the_day_after_it_was_due(
    service: Any, gauge: Any, by: dict[str, Any], now: Any, days: int, out: bool
) -> None:
    actions.calibrate(gauge, NewCalibration(now.date() - 500 * DAY, "C-1", now.date() - days * DAY), **by)
    if not out:
        assert not read(service, by).acknowledged
        return
    with pytest.raises(DoubtfulInstrumentError, match="out of calibration, which ran out on"):
        read(service, by)
    assert not Reading.objects.exists()
    assert read(service, by, acknowledged=True).acknowledged


def test_one_that_was_never_calibrated_is_acknowledged_too(
    service: Any, gauge: Any, by: dict[str, Any]
) -> None:
    with pytest.raises(DoubtfulInstrumentError, match="no calibration of it is noted"):
        read(service, by)
    assert read(service, by, acknowledged=True).acknowledged


def test_acknowledging_one_that_is_in_calibration_leaves_no_mark(
    service: Any, gauge: Any, by: dict[str, Any], now: Any
) -> None:
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", now.date() + DAY), **by)
    assert not read(service, by, acknowledged=True).acknowledged


def test_the_day_it_is_due_is_the_day_where_the_workshop_is(
    service: Any, gauge: Any, crew: Any, by: dict[str, Any], settings: Any
) -> None:
    """The same moment is the last day in Honolulu, and the day after in Auckland."""
    actions.calibrate(gauge, NewCalibration(date(2025, 5, 1), "C-1", date(2025, 5, 9)), **by)
    moment = {"who": crew.technician, "at": datetime(2025, 5, 9, 20, 0, tzinfo=UTC)}
    settings.TIME_ZONE = "Pacific/Honolulu"
    with timezone.override("Pacific/Honolulu"):
        assert not read(service, moment).acknowledged
    settings.TIME_ZONE = "Pacific/Auckland"
    with timezone.override("Pacific/Auckland"), pytest.raises(DoubtfulInstrumentError):
        read(service, moment)


@pytest.mark.parametrize(
    ("days", "standing"),
    [
        (2, "calibrated, due in 2 days"),
        (1, "calibrated, due in 1 day"),
        (0, "calibrated, due in 0 days"),
        (-1, "out of calibration for 1 day"),
        (-2, "out of calibration for 2 days"),
    ],
)
def test_how_its_calibration_is_told(
    gauge: Any, by: dict[str, Any], now: Any, days: int, standing: str
) -> None:
    due = now.date() + 5 * DAY
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", due), **by)
    line, today = queries.line_of(gauge), due - days * DAY
    assert line.standing(today) == standing
    assert bool(line.gauge.uncalibrated(today)) is (days < 0)


def test_without_an_end_it_stays_calibrated_and_wants_no_hand(
    gauge: Any, by: dict[str, Any], now: Any
) -> None:
    assert queries.line_of(gauge).wants_a_hand(now.date())
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1"), **by)
    line = queries.line_of(gauge)
    assert line.due_on is None and not line.wants_a_hand(date(2099, 1, 1))
    assert line.standing(date(2099, 1, 1)) == "calibrated, no end set"


@pytest.mark.parametrize(("days", "wants"), [(31, False), (30, True), (29, True), (0, True), (-1, True)])
def test_it_wants_a_hand_from_30_days_before_it_is_due(
    gauge: Any, by: dict[str, Any], now: Any, days: int, wants: bool
) -> None:
    due = now.date() + 100 * DAY
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", due), **by)
    assert queries.line_of(gauge).wants_a_hand(due - days * DAY) is wants
    actions.withdraw(gauge, "dropped", **by)
    assert queries.line_of(gauge).standing(due) == "withdrawn"
    assert not queries.line_of(gauge).wants_a_hand(due - days * DAY)


@pytest.mark.parametrize(("ahead", "refused"), [(1, True), (0, False), (-1, False)])
def test_a_calibration_is_noted_from_the_day_it_is_done(
    gauge: Any, by: dict[str, Any], now: Any, ahead: int, refused: bool
) -> None:
    new = NewCalibration(now.date() + ahead * DAY, "C-1")
    if refused:
        with pytest.raises(InstrumentError, match="lies ahead"):
            actions.calibrate(gauge, new, **by)
    else:
        assert actions.calibrate(gauge, new, **by).on_day == new.on_day


@pytest.mark.parametrize(("after", "refused"), [(-1, True), (0, True), (1, False)])
def test_it_is_due_after_the_day_of_its_calibration(
    gauge: Any, by: dict[str, Any], now: Any, after: int, refused: bool
) -> None:
    new = NewCalibration(now.date(), "C-1", now.date() + after * DAY)
    if refused:
        with pytest.raises(InstrumentError, match="is not after"):
            actions.calibrate(gauge, new, **by)
    else:
        assert actions.calibrate(gauge, new, **by).due_on == new.due_on


def test_a_calibration_is_kept_word_for_word(gauge: Any, by: dict[str, Any], now: Any) -> None:
    new = NewCalibration(now.date(), f" {'C' * 81}", None, 0.0, 0.0, f" {'r' * 201}")
    row = actions.calibrate(gauge, new, **by)
    assert (row.certificate, row.remark, row.by, row.at) == ("C" * 80, "r" * 200, by["who"], now)
    assert (row.expanded_uncertainty, row.percent) == (0.0, 0.0)


def test_the_newest_calibration_counts_and_the_one_before_fills_it_in(
    gauge: Any, by: dict[str, Any], now: Any
) -> None:
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", None, 0.03, 1.5), **by)
    actions.calibrate(gauge, NewCalibration(now.date(), "C-2", None, None, 0.5), **by)
    kept = queries.line_of(gauge).gauge
    assert (kept.certificate, kept.fixed, kept.percent, kept.calibrated) == ("C-2", 0.03, 0.5, True)
    assert [row.entry_sequence for row in queries.history(gauge)] == sorted(
        (row.entry_sequence for row in queries.history(gauge)), reverse=True
    )


# What it can tell


GAUGE = Gauge("G", "Gauge", "mm", 0.01, 0.02, 1.0, 1.0, 25.0, True, "2025-05-09", "C")


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (0.9999, "is below its range, which begins at 1"),
        (1.0, ""),
        (25.0, ""),
        (25.0001, "is above its range, which ends at 25"),
    ],
)
def test_its_range_holds_both_its_ends(value: float, says: str) -> None:
    said = GAUGE.out_of_range(value, "mm")
    assert (says in said) if says else said == ""
    assert replace(GAUGE, lower=None, upper=None).out_of_range(value, "mm") == ""
    assert bool(replace(GAUGE, lower=None).out_of_range(value, "mm")) is (value > 25.0)
    assert bool(replace(GAUGE, upper=None).out_of_range(value, "mm")) is (value < 1.0)


@pytest.mark.parametrize(("value", "expanded"), [(0.0, 0.02), (10.0, 0.12), (-10.0, 0.12)])
def test_its_uncertainty_is_a_fixed_part_and_a_share_of_what_it_reads(value: float, expanded: float) -> None:
    assert GAUGE.expanded_at(value, "mm") == pytest.approx(expanded)


def test_a_gauge_is_kept_with_a_reading_and_comes_back_whole() -> None:
    assert Gauge.kept(GAUGE.facts()) == GAUGE
    assert Gauge.kept({}) is None
    assert GAUGE.name == "Gauge, G"


def test_its_sentences_name_it_and_the_day() -> None:
    assert GAUGE.uncalibrated(date(2025, 5, 9)) == ""
    assert GAUGE.uncalibrated(date(2025, 5, 10)) == (
        "Gauge, G: out of calibration, which ran out on 9 May 2025."
    )
    assert replace(GAUGE, calibrated=False).uncalibrated(date(2025, 5, 9)) == (
        "Gauge, G: no calibration of it is noted."
    )
    assert replace(GAUGE, due_on="").uncalibrated(date(2099, 1, 1)) == ""
    assert GAUGE.out_of_range(0.5, "mm") == "Gauge, G: 0.5 mm is below its range, which begins at 1."
    assert GAUGE.out_of_range(30.0, "mm") == "Gauge, G: 30 mm is above its range, which ends at 25."


# The register


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({"number": "N" * 20}, True),
        ({"number": "N" * 21}, False),
        ({"resolution": 1e-9}, True),
        ({"resolution": -0.01}, False),
        ({"resolution": float("inf")}, False),
        ({"expanded_uncertainty": 0.0}, True),
        ({"expanded_uncertainty": float("inf")}, False),
        ({"expanded_uncertainty": float("nan")}, False),
        ({"percent": -0.1}, False),
        ({"range_lower": 25.0}, False),
        ({"range_lower": 24.9}, True),
        ({"range_lower": None}, True),
        ({"range_upper": None}, True),
    ],
)
def test_what_an_instrument_may_be(by: dict[str, Any], change: dict[str, Any], fits: bool) -> None:
    new = replace(NEW, **change)
    if fits:
        assert actions.add_instrument(new, **by).number == new.number
    else:
        with pytest.raises(InstrumentError):
            actions.add_instrument(new, **by)


def test_each_refusal_says_what_is_wrong(gauge: Any, by: dict[str, Any], now: Any) -> None:
    cases: list[tuple[Any, str]] = [
        (lambda: actions.add_instrument(replace(NEW, number="2", resolution=0.0), **by),
         "The resolution must be above 0, not 0. Nothing was added."),
        (lambda: actions.add_instrument(replace(NEW, number="2", percent=-1.0), **by),
         "The percent of reading must be 0 or more, not -1. Nothing was changed."),
        (lambda: actions.add_instrument(replace(NEW, number="2", expanded_uncertainty=-1.0), **by),
         "The expanded uncertainty must be 0 or more, not -1. Nothing was changed."),
        (lambda: actions.add_instrument(replace(NEW, number="2", range_lower=30.0), **by),
         "Its range must run upwards, not from 30 to 25."),
        (lambda: actions.calibrate(gauge, NewCalibration(now.date(), "C", None, -1.0), **by),
         "The expanded uncertainty must be 0 or more, not -1. Nothing was changed."),
        (lambda: actions.calibrate(gauge, NewCalibration(now.date(), "C", None, None, -1.0), **by),
         "The percent of reading must be 0 or more, not -1. Nothing was changed."),
    ]  # fmt: skip
    for act, sentence in cases:
        with pytest.raises(InstrumentError) as caught:
            act()
        assert str(caught.value) == sentence


def test_what_happens_to_an_instrument_is_in_the_journal(gauge: Any, by: dict[str, Any], now: Any) -> None:
    from tickover.workshop.journal.models import Entry as JournalEntry

    actions.calibrate(gauge, NewCalibration(now.date(), "C-1"), **by)
    actions.move(gauge, f" {'v' * 81}", **by)
    withdrawn = actions.withdraw(gauge, f" {'d' * 201}", **by)
    moved_while_away = actions.move(gauge, "store", **by)
    back = actions.take_back(gauge, "compared", **by)
    kinds = JournalEntry.objects.filter(subject="instrument/DG-1").values_list("kind", flat=True)
    assert list(kinds) == [
        *("instrument added", "instrument calibrated", "instrument moved", "instrument withdrawn"),
        *("instrument withdrawn", "instrument in use"),
    ]
    assert (withdrawn.location, withdrawn.reason, withdrawn.by) == ("v" * 80, "d" * 200, by["who"])
    assert (moved_while_away.state, moved_while_away.location) == (Placing.State.WITHDRAWN, "store")
    assert (back.state, back.location, back.at) == (Placing.State.IN_USE, "store", now)


def test_lists_are_sorted_and_filtered(by: dict[str, Any], now: Any) -> None:
    rows = [("A", "scale", "kg", 5), ("B", "depth-gauge", "mm", 5), ("C", "depth-gauge", "mm", 0)]
    for number, kind, unit, days in rows:
        row = actions.add_instrument(replace(NEW, number=number, kind=kind, unit=unit), **by)
        due = now.date() + days * DAY if days else None
        actions.calibrate(row, NewCalibration(now.date(), "C-1", due), **by)
    numbers = {sort: [x.instrument.number for x in queries.lines(sort=sort)] for sort in queries.SORTS}
    assert numbers == {"due": ["A", "B", "C"], "number": ["A", "B", "C"], "kind": ["B", "C", "A"]}
    assert [x.instrument.number for x in queries.lines(kind="scale")] == ["A"]
    assert queries.instrument_by_number("Z") is None
    found = queries.gauge_of("B")
    assert found is not None and (found[0].number, found[1].number) == ("B", "B")
    assert queries.gauge_of("Z") is None
