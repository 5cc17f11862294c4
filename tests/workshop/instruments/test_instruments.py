"""The instrument register: what comes in, what a calibration changes, and what is offered for a reading."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta
from typing import Any, get_args

import pytest

from tickover.sheets.schema.limits import InstrumentKind
from tickover.workshop.instruments import actions, export, queries
from tickover.workshop.instruments.actions import InstrumentError, NewCalibration, NewInstrument
from tickover.workshop.instruments.models import KINDS
from tickover.workshop.kernel.models import Entry

pytestmark = pytest.mark.usefixtures("verified")

GAUGE = NewInstrument(
    "DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02, 0.0, 0.0, 25.0, "77", "drawer 2"
)


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauge(by: dict[str, Any]) -> Any:
    return actions.add_instrument(GAUGE, **by)


def calibration(now: Any, days: int, **more: Any) -> NewCalibration:
    return NewCalibration(now.date(), "C-9", now.date() + timedelta(days=days), **more)


def test_an_instrument_stands_in_the_journal(gauge: Any) -> None:
    entry = Entry.objects.get(sequence=gauge.entry_sequence)
    assert (entry.kind, entry.subject) == ("instrument added", "instrument/DG-1")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"number": ""}, "1 to 20 characters"),
        ({"number": "A/B"}, "no slash"),
        ({"number": "DG-1"}, "belongs to Depth gauge already"),
        ({"kind": "eye"}, "no kind of instrument"),
        ({"resolution": 0.0}, "resolution must be above 0"),
        ({"resolution": float("nan")}, "resolution must be above 0"),
        ({"expanded_uncertainty": -1.0}, "0 or more"),
        ({"percent": float("inf")}, "0 or more"),
        ({"range_lower": 30.0}, "run upwards"),
    ],
)
def test_what_cannot_be_is_refused(gauge: Any, by: dict[str, Any], change: dict[str, Any], says: str) -> None:
    before = Entry.objects.count()
    with pytest.raises(InstrumentError, match=says):
        actions.add_instrument(replace(GAUGE, **{"number": "DG-2", **change}), **by)
    assert Entry.objects.count() == before


def test_a_calibration_states_the_uncertainty_anew(gauge: Any, by: dict[str, Any], now: Any) -> None:
    actions.calibrate(gauge, calibration(now, 365, expanded_uncertainty=0.03, percent=0.5), **by)
    kept = queries.line_of(gauge).gauge
    assert (kept.fixed, kept.percent, kept.certificate) == (0.03, 0.5, "C-9")
    assert kept.expanded_at(2.0, "mm") == pytest.approx(0.04)


def test_a_calibration_without_figures_leaves_those_before(gauge: Any, by: dict[str, Any], now: Any) -> None:
    actions.calibrate(gauge, calibration(now, 365), **by)
    assert queries.line_of(gauge).gauge.fixed == 0.02


@pytest.mark.parametrize(
    ("new", "says"),
    [
        (NewCalibration(date(2025, 5, 5), " "), "number of the certificate"),
        (NewCalibration(date(2025, 5, 6), "C"), "is in the future"),
        (NewCalibration(date(2025, 5, 5), "C", date(2025, 5, 5)), "is not after"),
        (NewCalibration(date(2025, 5, 5), "C", None, -0.1), "0 or more"),
    ],
)
def test_a_calibration_that_cannot_be_is_refused(
    gauge: Any, by: dict[str, Any], new: NewCalibration, says: str
) -> None:
    with pytest.raises(InstrumentError, match=says):
        actions.calibrate(gauge, new, **by)
    assert queries.line_of(gauge).calibration is None


def test_how_an_instrument_stands(gauge: Any, by: dict[str, Any], now: Any) -> None:
    today = now.date()
    assert queries.line_of(gauge).calibration_state(today) == "no calibration recorded"
    actions.calibrate(gauge, calibration(now, 10), **by)
    line = queries.line_of(gauge)
    assert line.calibration_state(today) == "calibrated, due in 10 days" and line.wants_a_hand(today)
    assert line.calibration_state(today + timedelta(days=11)) == "out of calibration for 1 day"
    assert not line.wants_a_hand(today - timedelta(days=40))


def test_the_day_it_is_due_still_counts(gauge: Any, by: dict[str, Any], now: Any) -> None:
    actions.calibrate(gauge, calibration(now, 10), **by)
    kept = queries.line_of(gauge).gauge
    assert kept.uncalibrated(now.date() + timedelta(days=10)) == ""
    assert "ran out on 15 May 2025" in kept.uncalibrated(now.date() + timedelta(days=11))


def test_one_that_needs_no_calibration_again_is_never_out_of_it(
    gauge: Any, by: dict[str, Any], now: Any
) -> None:
    assert "no calibration recorded" in queries.line_of(gauge).gauge.uncalibrated(now.date())
    actions.calibrate(gauge, NewCalibration(now.date(), "compared with blocks"), **by)
    assert queries.line_of(gauge).gauge.uncalibrated(date(2099, 1, 1)) == ""


def test_a_withdrawn_one_is_not_offered_and_comes_back(gauge: Any, by: dict[str, Any]) -> None:
    with pytest.raises(InstrumentError, match="why it is withdrawn"):
        actions.withdraw(gauge, " ", **by)
    with pytest.raises(InstrumentError, match="is in use"):
        actions.take_back(gauge, "", **by)
    actions.withdraw(gauge, "dropped", **by)
    assert queries.offered("depth-gauge") == [] and queries.gauge_of("DG-1") is None
    with pytest.raises(InstrumentError, match="withdrawn already"):
        actions.withdraw(gauge, "again", **by)
    actions.take_back(gauge, "compared", **by)
    assert [line.instrument for line in queries.offered("depth-gauge")] == [gauge]
    assert queries.line_of(gauge).location == "drawer 2"


def test_it_moves_and_stays_as_it_is(gauge: Any, by: dict[str, Any]) -> None:
    actions.move(gauge, "van", **by)
    assert queries.line_of(gauge).location == "van" and not queries.line_of(gauge).withdrawn
    with pytest.raises(InstrumentError, match="where it is now"):
        actions.move(gauge, "", **by)


def test_only_what_reads_the_same_quantity_is_offered(gauge: Any, by: dict[str, Any]) -> None:
    inches = replace(GAUGE, number="DG-2", unit="in", resolution=0.001)
    actions.add_instrument(inches, **by)
    assert [line.instrument.number for line in queries.offered("depth-gauge", "mm")] == ["DG-1", "DG-2"]
    assert queries.offered("depth-gauge", "bar") == [] and queries.offered("micrometer", "mm") == []


def test_the_first_due_stands_first_and_the_withdrawn_last(by: dict[str, Any], now: Any) -> None:
    for number, days in (("A", 300), ("B", 20), ("C", None), ("D", 5)):
        row = actions.add_instrument(replace(GAUGE, number=number), **by)
        if days:
            actions.calibrate(row, calibration(now, days), **by)
    actions.withdraw(row, "dropped", **by)
    assert [line.instrument.number for line in queries.lines()] == ["C", "B", "A", "D"]
    assert [line.instrument.number for line in queries.lines(sort="number")] == ["A", "B", "C", "D"]


def test_an_inch_gauge_tells_its_uncertainty_in_millimetres(by: dict[str, Any]) -> None:
    new = replace(GAUGE, unit="in", resolution=0.001, expanded_uncertainty=0.001, range_upper=1.0)
    kept = queries.line_of(actions.add_instrument(new, **by)).gauge
    assert kept.expanded_at(10.0, "mm") == pytest.approx(0.0254) and kept.step("mm") == 0.0254
    assert kept.out_of_range(25.4, "mm") == ""
    assert "above its range, which ends at 1" in kept.out_of_range(25.5, "mm")


def test_the_list_as_a_table(gauge: Any, by: dict[str, Any], now: Any) -> None:
    actions.calibrate(gauge, calibration(now, 10), **by)
    actions.add_instrument(replace(GAUGE, number="=1+1", location="@x"), **by)
    rows = list(csv.DictReader(io.StringIO(export.as_csv(queries.lines(sort="number"), now.date()))))
    assert [row["number"] for row in rows] == ["'=1+1", "DG-1"]
    assert (rows[1]["due_on"], rows[1]["certificate"], rows[0]["location"]) == ("2025-05-15", "C-9", "'@x")


def test_every_kind_that_a_sheet_may_name_can_be_added() -> None:
    assert set(KINDS) == set(get_args(InstrumentKind))
