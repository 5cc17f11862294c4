"""Readings by a named instrument, taken several times, in another unit, as found and as left."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from statistics import NormalDist
from typing import Any

import pypdf
import pytest
from django.db import connection
from django.test import Client

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.workshop.audit.verify import verify
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.logbook import job_papers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import DoubtfulInstrumentError, TypedReading, VisitError
from tickover.workshop.visits.models import Reading

pytestmark = pytest.mark.usefixtures("verified")

SERVICE = "diaphragm-service"
LEVER = "lever-height"
FINE = NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.01, 0.0, 0.0, 25.0)


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauge(by: dict[str, Any], now: datetime) -> Any:
    """A depth gauge that is calibrated for another 100 days."""
    row = instruments.add_instrument(FINE, **by)
    due = now.date() + timedelta(days=100)
    instruments.calibrate(row, NewCalibration(now.date(), "C-1", due), **by)
    return row


@pytest.fixture
def service(sheet_with: Callable[..., None], outer: Any, hands: Any) -> Any:
    """A diaphragm service whose lever height is read with a depth gauge."""
    sheet_with("limits", LEVER, instrument_kind="depth-gauge", repeats=1, computed="")
    return hands.open(outer, SERVICE)


def with_gauge(typed: str, number: str = "DG-1", **more: Any) -> TypedReading:
    return TypedReading({"typed": typed}, instrument=number, **more)


def step(job: Any, step_id: str = LEVER) -> queries.StepLine:
    return queries.job_sheet(job).step(step_id)


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())


# By a named instrument


@pytest.mark.parametrize("typed", [1.18, 1.20, 1.21, 1.22, 1.58, 1.62])
def test_the_named_instrument_judges_the_reading(
    service: Any, gauge: Any, by: dict[str, Any], typed: float
) -> None:
    """JCGM 106:2012, 7, by Python's NormalDist: limits 1.2 to 1.6, U = 0.01 (k = 2) and steps of 0.01."""
    row = actions.take_reading(service, LEVER, with_gauge(f"{typed}"), **by)
    error = NormalDist(typed, (0.005**2 + 0.01**2 / 12) ** 0.5)
    inside = error.cdf(1.6) - error.cdf(1.2)
    assert row.probability_inside == pytest.approx(inside, abs=1e-9)
    assert row.standard_uncertainty == pytest.approx(error.stdev)
    assert row.decision == ("inside" if inside >= 0.95 else "outside" if inside <= 0.05 else "cannot tell")


def test_what_the_sheets_gauge_cannot_tell_a_finer_one_can(
    service: Any, gauge: Any, by: dict[str, Any]
) -> None:
    assert actions.take_reading(service, LEVER, "1.23", **by).decision == "cannot tell"
    assert actions.take_reading(service, LEVER, with_gauge("1.23"), **by).decision == "inside"
    working = step(service).reading.workings[-1]
    assert "DG-1: ± 0.01 mm, certificate C-1" in str(working.inputs[-1].value)


def test_percent_of_reading_counts_at_what_was_read(service: Any, by: dict[str, Any]) -> None:
    instruments.add_instrument(replace(FINE, number="P", expanded_uncertainty=0.0, percent=2.0), **by)
    row = actions.take_reading(service, LEVER, with_gauge("1.4", "P", acknowledged=True), **by)
    assert row.standard_uncertainty == pytest.approx(((0.028 / 2) ** 2 + 0.01**2 / 12) ** 0.5)


def test_a_later_calibration_leaves_the_reading_as_it_was_judged(
    service: Any, gauge: Any, by: dict[str, Any], now: datetime
) -> None:
    actions.take_reading(service, LEVER, with_gauge("1.23"), **by)
    instruments.calibrate(gauge, NewCalibration(now.date(), "C-2", None, 0.2), **by)
    assert step(service).reading.verdict.decision == "inside"
    assert step(service).reading.gauge.certificate == "C-1"


@pytest.mark.parametrize(
    ("number", "change", "says"),
    [("nobody", {}, "No instrument nobody is in use"), ("M-1", {"kind": "micrometer"}, "is a micrometer")],
)
def test_an_instrument_that_does_not_fit_is_refused(
    service: Any, by: dict[str, Any], number: str, change: dict[str, str], says: str
) -> None:
    instruments.add_instrument(replace(FINE, number="M-1", **change), **by)
    with pytest.raises(VisitError, match=says):
        actions.take_reading(service, LEVER, with_gauge("1.4", number), **by)
    assert not Reading.objects.exists()


def test_a_withdrawn_instrument_is_refused(service: Any, gauge: Any, by: dict[str, Any]) -> None:
    instruments.withdraw(gauge, "dropped", **by)
    with pytest.raises(VisitError, match="No instrument DG-1 is in use"):
        actions.take_reading(service, LEVER, with_gauge("1.4"), **by)


def test_out_of_calibration_wants_to_be_acknowledged_on_a_critical_step(
    service: Any, gauge: Any, by: dict[str, Any]
) -> None:
    assert step(service).step.critical
    late = by | {"at": by["at"] + timedelta(days=101)}
    with pytest.raises(DoubtfulInstrumentError, match=r"ran out on 13 Aug 2025.*is critical"):
        actions.take_reading(service, LEVER, with_gauge("1.4"), **late)
    row = actions.take_reading(service, LEVER, with_gauge("1.4", acknowledged=True), **late)
    assert row.acknowledged and row.decision == "inside"


def test_out_of_calibration_is_told_and_does_not_block(
    service: Any, gauge: Any, by: dict[str, Any], crew: Any, hands: Any
) -> None:
    hands.at = late = by["at"] + timedelta(days=101)
    entry = with_gauge("1.4", acknowledged=True)
    actions.take_reading(service, LEVER, entry, who=crew.technician, at=late)
    actions.mark_done(service, LEVER, who=crew.technician, at=late)
    actions.second_check(service, LEVER, who=crew.inspector, at=late, typed=entry)
    hands.do_all(service)
    sheet = queries.job_sheet(service)
    told = [w for w in sheet.warnings if "wrench" not in w]
    assert sheet.blockers == [] and len(told) == 1
    assert "out of calibration, which ran out on 13 Aug 2025" in sheet.warnings[0]
    hands.release(service)
    for printed in (job_papers.work_card, job_papers.release):
        text = words(printed(queries.job_sheet(service)))
        assert "Note: Depth gauge, DG-1: out of calibration" in text
        assert "Tilda Reeve acknowledged it." in text and "U = 0.01 mm (k = 2)" in text


def test_beyond_its_range_is_told(service: Any, by: dict[str, Any]) -> None:
    instruments.add_instrument(replace(FINE, number="S", range_upper=1.3), **by)
    actions.take_reading(service, LEVER, with_gauge("1.4", "S", acknowledged=True), **by)
    assert any("above its range, which ends at 1.3" in doubt for doubt in step(service).reading.doubts)


# Several readings


@pytest.fixture
def thrice(sheet_with: Callable[..., None], outer: Any, hands: Any) -> Any:
    """A diaphragm service whose lever height is the median of three, at most 0.05 mm apart."""
    sheet_with("limits", LEVER, repeats=3, take="median", spread_max=0.05, computed="")
    return hands.open(outer, SERVICE)


def test_the_median_of_three_counts_and_all_three_are_kept(thrice: Any, by: dict[str, Any]) -> None:
    row = actions.take_reading(thrice, LEVER, "1,38; 1.42; 1.41", **by)
    assert (row.value, row.typed, row.decision) == (1.41, "1,38; 1.42; 1.41", "inside")
    assert [i["value"] for i in row.inputs] == [1.38, 1.42, 1.41]
    told = step(thrice).reading.measured.notes
    assert told == ("Median of 1.38, 1.42, 1.41 mm; spread 0.04 mm, at most 0.05 mm allowed.",)


def test_the_scatter_counts_as_uncertainty(thrice: Any, by: dict[str, Any]) -> None:
    """Sheet's gauge U = 0.05 (k = 2), steps of 0.02; scatter by the range: 1.2533·(0.04/1.693)/√3."""
    row = actions.take_reading(thrice, LEVER, "1.38; 1.42; 1.41", **by)
    scatter = 1.2533 * 0.04 / 1.693 / 3**0.5
    assert row.standard_uncertainty == pytest.approx((0.025**2 + 0.02**2 / 12 + scatter**2) ** 0.5, rel=1e-4)


def test_readings_too_far_apart_say_nothing(
    thrice: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    row = actions.take_reading(thrice, LEVER, "1.36; 1.42; 1.41", **by)
    assert row.decision == "cannot tell"
    line = step(thrice).reading
    assert line.verdict.decision == "cannot tell" and "differ by 0.06 mm (max 0.05 mm)" in line.sentence
    actions.mark_done(thrice, LEVER, **by)
    second = {"who": crew.inspector, "at": now, "typed": "1.40; 1.41; 1.41"}
    actions.second_check(thrice, LEVER, **second)
    assert any("take them again" in b for b in queries.job_sheet(thrice).blockers)


def test_the_last_of_three_where_the_sheet_says_so(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    sheet_with("limits", LEVER, repeats=3, take="last", computed="")
    row = actions.take_reading(hands.open(outer, SERVICE), LEVER, "1.3; 1.42; 1.41", **by)
    assert row.value == 1.41


@pytest.mark.parametrize("typed", ["1.4", "1.4; 1.4", "1.4; ; 1.4"])
def test_every_reading_is_asked_for(thrice: Any, by: dict[str, Any], typed: str) -> None:
    with pytest.raises(NumberError, match=r"reading [23] of 3: nothing is typed"):
        actions.take_reading(thrice, LEVER, typed, **by)
    assert not Reading.objects.exists()


def test_a_slip_in_one_of_three_is_asked_about(thrice: Any, by: dict[str, Any]) -> None:
    with pytest.raises(ImplausibleNumber, match=r"Did you mean 1\.4 mm"):
        actions.take_reading(thrice, LEVER, "1.4; 14; 1.4", **by)


# In another unit


def test_an_inch_is_kept_as_typed_and_in_the_sheets_unit(service: Any, by: dict[str, Any]) -> None:
    row = actions.take_reading(service, LEVER, TypedReading({"typed": "0.055"}, unit="in"), **by)
    assert (row.value, row.unit, row.typed, row.typed_unit) == (1.397, "mm", "0.055", "in")
    assert step(service).reading.typed == "0.055 in"


def test_a_torque_of_exactly_the_limit_in_inch_pounds_is_inside(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """10 N.m are 88.507457676 in-lb (NIST SP 811: 1 lbf.in = 0.1129848 N.m); the rule is simple."""
    sheet_with("limits", "flange-torque", upper=10.0, rule="simple", computed="", repeats=1)
    job = hands.open(outer)
    typed = TypedReading({"typed": "88.50745767378418"}, unit="in-lb")
    assert actions.take_reading(job, "flange-torque", typed, **by).decision == "inside"
    above = actions.take_reading(job, "flange-torque", TypedReading({"typed": "88.5075"}, unit="in-lb"), **by)
    assert above.decision == "outside"
    assert float(step(job, "flange-torque").reading.shown) > 10.0


def test_the_instrument_used_last_is_offered_first(
    service: Any, gauge: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any
) -> None:
    entry = TypedReading({"typed": "1.4"}, instrument="DG-1", acknowledged=True)
    actions.take_reading(service, LEVER, entry, **by)
    for person in (crew.technician, crew.inspector):
        page = signed_in(person).get(f"/visits/{service.number}/steps/{LEVER}/").content.decode()
        assert '<option value="DG-1" data-unit="mm" selected>' in page


def test_an_instrument_that_does_not_reach_the_limits_is_not_chosen_by_itself(
    service: Any, gauge: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any
) -> None:
    short = replace(FINE, number="DG-9", range_upper=1.0)  # the lever may stand at 1.6 mm
    row = instruments.add_instrument(short, **by)
    instruments.calibrate(row, NewCalibration(by["at"].date(), "C-9"), **by)
    actions.take_reading(service, LEVER, with_gauge("1.4"), **by)
    actions.take_reading(service, LEVER, with_gauge("0.9", "DG-9", confirmed=True, acknowledged=True), **by)
    page = signed_in(crew.technician).get(f"/visits/{service.number}/steps/{LEVER}/").content.decode()
    assert 'value="DG-9"' in page and '<option value="DG-1" data-unit="mm" selected>' in page


# As found and as left


@pytest.fixture
def found(sheet_with: Callable[..., None], outer: Any, hands: Any) -> Any:
    """A flange check whose torque is read as found."""
    sheet_with("cards.steps", "flange-torque", moment="as found")
    return hands.open(outer)


def test_as_found_outside_is_told_and_does_not_block(
    found: Any, by: dict[str, Any], crew: Any, hands: Any, now: datetime
) -> None:
    actions.take_reading(found, "flange-torque", "7", **by)
    actions.mark_done(found, "flange-torque", **by)
    assert actions.second_check(found, "flange-torque", who=crew.inspector, at=now, typed="7,1") is not None
    hands.do_all(found)
    sheet = queries.job_sheet(found)
    assert sheet.blockers == []
    pair = sheet.before_after[0]
    found_reading = pair.found.reading
    assert (found_reading.shown, found_reading.verdict.decision, pair.left) == ("7.0", "outside", None)
    hands.release(found)
    text = words(job_papers.release(queries.job_sheet(found)))
    assert "As found and as left" in text and "7.0 N·m, outside" in text and "not read" in text


def test_a_limit_that_is_read_at_two_places_is_shown_at_both(
    sheet_with: Callable[..., None], outer: Any, hands: Any
) -> None:
    sheet_with("cards.steps", "flange-torque", moment="as found", place="carburettor side")
    job = hands.open(outer)
    one = queries.job_sheet(job)
    found = one.step("flange-torque")
    ends = [
        replace(found, step=found.step.model_copy(update={"place": place, "moment": moment}))
        for place in ("carburettor side", "engine side")
        for moment in ("as found", "as left")
    ]
    pairs = replace(one, steps=tuple(ends)).before_after
    assert [pair.title.rpartition(", ")[2] for pair in pairs] == ["carburettor side", "engine side"]
    assert [pair.left for pair in pairs] == [ends[1], ends[3]]


# On the page


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def test_three_fields_are_posted(thrice: Any, technician: Client) -> None:
    address = f"/visits/{thrice.number}/steps/{LEVER}/"
    page = technician.get(address).content.decode()
    assert all(f'name="typed_{n}"' in page for n in (1, 2, 3)) and "Reading 2 of 3" in page
    refused = technician.post(f"{address}reading/", {"typed_1": "1.4", "typed_2": "x", "typed_3": "1.41"})
    assert refused.status_code == 422
    assert 'value="1.41"' in refused.content.decode() and "is not a number" in refused.content.decode()
    technician.post(f"{address}reading/", {"typed_1": "1.4", "typed_2": "1.39", "typed_3": "1.41"})
    assert Reading.objects.get().value == 1.4
    assert "Median of 1.40, 1.39, 1.41 mm" in technician.get(address).content.decode()


def test_the_page_asks_to_acknowledge_an_instrument_without_calibration(
    service: Any, by: dict[str, Any], technician: Client
) -> None:
    instruments.add_instrument(FINE, **by)
    address = f"/visits/{service.number}/steps/{LEVER}/"
    refused = technician.post(f"{address}reading/", {"typed": "1.4", "instrument": "DG-1"})
    assert refused.status_code == 422 and 'name="acknowledged"' in refused.content.decode()
    posted = {"typed": "1.4", "instrument": "DG-1", "acknowledged": "on"}
    technician.post(f"{address}reading/", posted)
    page = technician.get(address).content.decode()
    assert "no calibration recorded. Tilda Reeve acknowledged it." in " ".join(page.split())
    assert "Notes on readings" in technician.get(f"/visits/{service.number}/").content.decode()


def test_readings_taken_with_an_instrument_are_listed_on_its_page(
    service: Any, gauge: Any, by: dict[str, Any], technician: Client, crew: Any, now: datetime
) -> None:
    actions.take_reading(service, LEVER, with_gauge("1.4"), **by)
    actions.mark_done(service, LEVER, **by)
    actions.second_check(service, LEVER, who=crew.inspector, at=now, typed=with_gauge("1.41"))
    assert f"Visit {service.number}" in technician.get("/instruments/DG-1/").content.decode()


# Rows from before


def test_a_reading_from_before_the_new_columns_still_verifies(
    service: Any, by: dict[str, Any], behind_its_back: Callable[..., Any]
) -> None:
    """Its entry says nothing of them; the row holds what the migration gave it."""
    row = actions.take_reading(service, LEVER, "1.4", **by)
    new = ("typed_unit", "inputs", "standard_uncertainty", "instrument_id", "gauge", "acknowledged")
    with behind_its_back(row, lambda facts: [facts.pop(name) for name in new]):
        held = "typed_unit = '', standard_uncertainty = NULL"
        with connection.cursor() as cursor:
            cursor.execute(f"UPDATE bench_reading SET {held} WHERE id = %s", [row.pk])
        # Only the trigger is missed that had to be taken out to write behind the journal's back.
        assert [fault for fault in verify().faults if not fault.startswith("Trigger")] == []
        with connection.cursor() as cursor:
            cursor.execute("UPDATE bench_reading SET typed_unit = 'in' WHERE id = %s", [row.pk])
        assert any(f"Journal entry {row.entry_sequence} " in fault for fault in verify().faults)


@pytest.fixture
def behind_its_back(db: None) -> Callable[..., Any]:
    """The newest entry with other facts and a hash that fits them, as an older tickover wrote it."""
    from contextlib import contextmanager

    from django.db import transaction

    from tickover.workshop.kernel.journal_chain import canonical, entry_hash
    from tickover.workshop.kernel.models import Entry as JournalEntry

    drop = {
        "sqlite": ["DROP TRIGGER IF EXISTS journal_entry_no_update"],
        "postgresql": ["ALTER TABLE journal_entry DISABLE TRIGGER USER"],
    }

    @contextmanager
    def rewritten(row: Any, change: Callable[[dict[str, Any]], object]) -> Any:
        with transaction.atomic(), connection.cursor() as cursor:
            for statement in drop[connection.vendor]:
                cursor.execute(statement)
            columns = JournalEntry.objects.values().get(sequence=row.entry_sequence)
            body = json.loads(columns["body"])
            change(body["facts"])
            columns |= {"body": canonical(body)}
            columns["hash"] = entry_hash(**{k: v for k, v in columns.items() if k != "hash"})
            JournalEntry.objects.filter(sequence=row.entry_sequence).update(**columns)
            yield
            transaction.set_rollback(True)

    return rewritten
