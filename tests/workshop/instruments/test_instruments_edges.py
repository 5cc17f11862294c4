"""The register of instruments: both sides of every edge of what is noted and of when one is due."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from tickover.workshop.instruments import actions, queries
from tickover.workshop.instruments.actions import InstrumentError, NewCalibration, NewInstrument
from tickover.workshop.instruments.models import InstrumentLocation
from tickover.workshop.kernel.models import Entry
from tickover.workshop.kernel.written import parsed

pytestmark = pytest.mark.usefixtures("verified")

NEW = NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02, 0.0, 0.0, 25.0, "77", "drawer 2")
DAY = timedelta(days=1)


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauge(by: dict[str, Any]) -> Any:
    return actions.add_instrument(NEW, **by)


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


@pytest.mark.parametrize(
    ("days", "state"),
    [
        (2, "calibrated, due in 2 days"),
        (1, "calibrated, due in 1 day"),
        (0, "calibrated, due in 0 days"),
        (-1, "out of calibration for 1 day"),
        (-2, "out of calibration for 2 days"),
    ],
)
def test_how_its_calibration_is_told(gauge: Any, by: dict[str, Any], now: Any, days: int, state: str) -> None:
    due = now.date() + 5 * DAY
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", due), **by)
    line, today = queries.line_of(gauge), due - days * DAY
    assert line.calibration_state(today) == state
    assert bool(line.gauge.uncalibrated(today)) is line.calibration_overdue(today) is (days < 0)


def test_without_an_end_it_stays_calibrated_and_wants_no_hand(
    gauge: Any, by: dict[str, Any], now: Any
) -> None:
    assert queries.line_of(gauge).wants_a_hand(now.date())
    assert queries.line_of(gauge).calibration_overdue(now.date())
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1"), **by)
    line = queries.line_of(gauge)
    assert line.due_on is None and not line.wants_a_hand(date(2099, 1, 1))
    assert line.calibration_state(date(2099, 1, 1)) == "calibrated, no due date"


@pytest.mark.parametrize(("days", "wants"), [(31, False), (30, True), (29, True), (0, True), (-1, True)])
def test_it_wants_a_hand_from_30_days_before_it_is_due(
    gauge: Any, by: dict[str, Any], now: Any, days: int, wants: bool
) -> None:
    due = now.date() + 100 * DAY
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", due), **by)
    assert queries.line_of(gauge).wants_a_hand(due - days * DAY) is wants
    actions.withdraw(gauge, "dropped", **by)
    assert queries.line_of(gauge).calibration_state(due) == "withdrawn"
    assert not queries.line_of(gauge).wants_a_hand(due - days * DAY)
    assert not queries.line_of(gauge).calibration_overdue(due + DAY)


@pytest.mark.parametrize(("ahead", "refused"), [(1, True), (0, False), (-1, False)])
def test_a_calibration_is_noted_from_the_day_it_is_done(
    gauge: Any, by: dict[str, Any], now: Any, ahead: int, refused: bool
) -> None:
    new = NewCalibration(now.date() + ahead * DAY, "C-1")
    if refused:
        with pytest.raises(InstrumentError, match="is in the future"):
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
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1"), **by)
    actions.move(gauge, f" {'v' * 81}", **by)
    withdrawn = actions.withdraw(gauge, f" {'d' * 201}", **by)
    moved_while_away = actions.move(gauge, "store", **by)
    back = actions.take_back(gauge, "compared", **by)
    kinds = Entry.objects.filter(subject="instrument/DG-1").values_list("kind", flat=True)
    assert list(kinds) == [
        *("instrument added", "instrument calibrated", "instrument moved", "instrument withdrawn"),
        *("instrument withdrawn", "instrument in use"),
    ]
    assert (withdrawn.location, withdrawn.reason, withdrawn.by) == ("v" * 80, "d" * 200, by["who"])
    assert (moved_while_away.state, moved_while_away.location) == (
        InstrumentLocation.State.WITHDRAWN,
        "store",
    )
    assert (back.state, back.location, back.at) == (InstrumentLocation.State.IN_USE, "store", now)


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


def test_without_a_share_of_what_it_reads_there_is_none(by: dict[str, Any]) -> None:
    new = NewInstrument("DG-2", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02)
    assert actions.add_instrument(new, **by).percent == 0.0


@pytest.mark.parametrize(
    ("kind", "tool_class", "says"),
    [
        ("torque-wrench", "II A", ""),
        ("torque-wrench", "", ""),
        ("torque-wrench", "II Z", "is no class of ISO 6789"),
        ("depth-gauge", "II A", "Only a torque tool has a class"),
        ("depth-gauge", "", ""),
    ],
)
def test_only_a_torque_tool_has_a_class(by: dict[str, Any], kind: str, tool_class: str, says: str) -> None:
    new = replace(NEW, kind=kind, unit="N.m", tool_class=tool_class)
    if says:
        with pytest.raises(InstrumentError, match=says):
            actions.add_instrument(new, **by)
    else:
        assert actions.add_instrument(new, **by).tool_class == tool_class


@pytest.mark.parametrize(("noted", "stated"), [("", "II A"), ("II B", "II B")])
def test_a_calibration_without_a_class_leaves_the_one_before(
    by: dict[str, Any], now: Any, noted: str, stated: str
) -> None:
    row = actions.add_instrument(replace(NEW, kind="torque-wrench", unit="N.m", tool_class="II A"), **by)
    actions.calibrate(row, NewCalibration(now.date(), "C-1", tool_class=noted), **by)
    assert queries.line_of(row).gauge.tool_class == stated


def test_entries_name_a_location_as_they_always_did(gauge: Any, by: dict[str, Any]) -> None:
    """The class had another name when the first of them was written; both kinds of book must verify."""
    row = actions.move(gauge, "store", **by)
    entry = Entry.objects.get(sequence=row.entry_sequence)
    assert parsed(entry.body)["record"] == "instruments.Placing"
    assert row._meta.db_table == "instruments_placing"
