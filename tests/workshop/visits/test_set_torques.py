"""A torque that was set is no measurement: the wrench, its setting and its conformity, wherever it is named."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest
from django.db import transaction
from django.test import Client

from tickover.workshop.audit.verify import verify
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments import queries as register
from tickover.workshop.instruments.actions import InstrumentError, NewCalibration, NewInstrument
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.instruments.models import Instrument
from tickover.workshop.kernel.actions import append
from tickover.workshop.logbook import job_papers
from tickover.workshop.visits import actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.actions import TypedReading
from tickover.workshop.visits.models import Job, Reading
from tickover.workshop.visits.steps.reading_line import ReadingLine

pytestmark = pytest.mark.usefixtures("verified")

TORQUE = "flange-torque"
LARGE = NewInstrument(
    "TW-1", "torque-wrench", "Torque wrench", "N.m", 0.2, 0.0, 4.0, 5.0, 30.0, tool_class="II A"
)
SMALL = replace(LARGE, number="TW-2", range_lower=1.0, range_upper=10.0)


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(outer: Any, hands: Any) -> Job:
    found: Job = hands.open(outer, "flange-check")
    return found


@pytest.fixture
def add(by: dict[str, Any], now: datetime) -> Callable[..., None]:
    """A tool in the register, calibrated for another 100 days."""

    def tool(new: NewInstrument, *, days: int = 100) -> None:
        row = instruments.add_instrument(new, **by)
        on_day = now.date() - timedelta(days=200)
        instruments.calibrate(row, NewCalibration(on_day, "C-1", now.date() + timedelta(days=days)), **by)

    return tool


def set_to(job: Job, typed: str, number: str, by: dict[str, Any], **more: Any) -> ReadingLine:
    actions.take_reading(job, TORQUE, TypedReading({"typed": typed}, instrument=number, **more), **by)
    line = visits.job_sheet(job).step(TORQUE)
    return (*line.readings,)[-1]


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())


# The verdict


@pytest.mark.parametrize(
    ("typed", "decided"),
    [("8.99", "does not conform"), ("9", "conforms"), ("10", "conforms"), ("10.01", "does not conform")],
)
def test_a_setting_conforms_or_does_not_and_has_no_chance(
    job: Job, add: Callable[..., None], by: dict[str, Any], typed: str, decided: str
) -> None:
    add(LARGE)
    read = set_to(job, typed, "TW-1", by)
    assert read.decided == decided
    assert (
        f"Set to {read.shown} N.m with Torque wrench, TW-1 (ISO 6789 type II A, ± 4 %, calibrated until "
        in read.sentence
    )
    assert "chance" not in read.sentence and "% sure" not in read.sentence
    kept = Reading.objects.get()
    assert kept.torque_set and kept.probability_inside is None and kept.gauge["tool_class"] == "II A"


@pytest.mark.parametrize(
    ("tool", "typed", "says"),
    [
        (LARGE, "9.6", ""),
        (LARGE, "9.8", "up to 10.2 N.m. To stay at or below 10 N.m there, set at most 9.6 N.m."),
        (LARGE, "10", "up to 10.4 N.m. To stay at or below 10 N.m there, set at most 9.6 N.m."),
        (SMALL, "9.4", ""),
        (SMALL, "10", "up to 10.6 N.m. To stay at or below 10 N.m there, set at most 9.4 N.m."),
    ],
)
def test_ten_as_ordered_conforms_and_what_it_may_have_been_at_the_nut_is_said(
    job: Job, add: Callable[..., None], by: dict[str, Any], tool: NewInstrument, typed: str, says: str
) -> None:
    """The trade orders a setting of 10 (common practice, no source), and no more than 10 at the flange.

    Neither figure is changed: 10 x 0.96 = 9.6 for a tool above 10 N.m, 10 x 0.94 = 9.4 for one up to 10 N.m.
    """
    add(tool)
    read = set_to(job, typed, tool.number, by)
    assert read.decided == "conforms"
    assert read.sentence.endswith(says) and ("At the nut" in read.sentence) == bool(says)
    assert not visits.job_sheet(job).exceedances


@pytest.mark.parametrize(
    ("change", "days", "says"),
    [
        ({"tool_class": ""}, 100, "its class by ISO 6789 is not in the register"),
        ({"range_upper": None}, 100, "its largest torque is not in the register"),
        ({}, -1, "out of calibration"),
        ({"range_upper": 9.9}, 100, "is above its range"),
        ({"range_lower": 10.1}, 100, "is below its range"),
    ],
)
def test_of_a_wrench_that_is_not_known_nothing_is_claimed(
    job: Job, add: Callable[..., None], by: dict[str, Any], change: dict[str, Any], days: int, says: str
) -> None:
    add(replace(LARGE, **change), days=days)
    read = set_to(job, "10", "TW-1", by, acknowledged=True)
    assert read.decided == "wrench not known" and says in read.sentence
    assert any(says in doubt for doubt in read.doubts)


@pytest.mark.parametrize(("days", "decided"), [(0, "conforms"), (-1, "wrench not known")])
def test_on_the_last_day_of_its_calibration_a_wrench_is_known(
    job: Job, add: Callable[..., None], by: dict[str, Any], days: int, decided: str
) -> None:
    add(LARGE, days=days)
    assert set_to(job, "10", "TW-1", by, acknowledged=True).decided == decided


def test_a_wrench_that_is_not_recorded_is_named_on_the_release(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """Of a step that is not critical; a critical one waits for an inspector."""
    sheet_with("cards.steps", TORQUE, critical=False)
    job = hands.open(outer, "flange-check")
    assert set_to(job, "10", "", by).decided == "wrench not known"
    hands.do_all(job)
    sheet = visits.job_sheet(job)
    assert any("The wrench is not recorded." in warning for warning in sheet.warnings)
    hands.release(job)
    said = words(job_papers.release(visits.job_sheet(job)))
    assert "set to 10.0 N·m" in said and "wrench not known" in said and "The wrench is not recorded." in said


def test_an_indicating_wrench_measures(job: Job, add: Callable[..., None], by: dict[str, Any]) -> None:
    add(replace(LARGE, tool_class="I B"))
    read = set_to(job, "10", "TW-1", by)
    assert read.decided == "inside" and ": OK as read (" in read.sentence
    assert not read.reading.torque_set and read.reading.probability_inside == pytest.approx(0.5, abs=0.01)


def test_as_found_is_measured(
    sheet_with: Callable[..., None], outer: Any, hands: Any, add: Callable[..., None], by: dict[str, Any]
) -> None:
    sheet_with("cards.steps", TORQUE, moment="as found")
    add(LARGE)
    job = hands.open(outer)
    actions.take_reading(job, TORQUE, TypedReading({"typed": "9"}, instrument="TW-1"), **by)
    assert not Reading.objects.get().torque_set


def test_with_an_adapter_the_torque_at_the_nut_conforms_and_the_setting_is_in_range(
    sheet_with: Callable[..., None], outer: Any, hands: Any, add: Callable[..., None], by: dict[str, Any]
) -> None:
    """250 mm of wrench and 50 mm of adapter: 8 N.m set are 8 x 300/250 = 9.6 N.m at the nut."""
    sheet_with("limits", TORQUE, computed="offset-adapter")
    add(replace(LARGE, range_upper=9.0, range_lower=2.0))
    job = hands.open(outer)
    entry = TypedReading({"of-wrench-length": "250", "of-offset": "50", "of-setting": "8"}, instrument="TW-1")
    row = actions.take_reading(job, TORQUE, entry, **by)
    assert row.value == pytest.approx(9.6) and row.torque_set
    read = visits.job_sheet(job).step(TORQUE).readings[-1]
    assert read.decided == "conforms" and "up to 10.2 N.m" in read.sentence and len(read.workings) == 2


def test_a_reading_from_before_settings_were_told_apart_reads_as_it_did(job: Job, by: dict[str, Any]) -> None:
    actions.take_reading(job, TORQUE, "10", **by)
    row = Reading.objects.get()
    row.torque_set, row.probability_inside = False, 0.5
    line = visits.job_sheet(job).step(TORQUE)
    old = ReadingLine(row, line.site, line.never)
    assert old.decided == "inside" and ": OK as read (" in old.sentence and old.doubts == ()


# Where it is said


def test_step_work_card_and_release_name_the_wrench(
    job: Job, hands: Any, add: Callable[..., None], crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    add(LARGE)
    entry = TypedReading({"typed": "10"}, instrument="TW-1")
    actions.take_reading(job, TORQUE, entry, who=crew.technician, at=now)
    actions.mark_done(job, TORQUE, who=crew.technician, at=now)
    actions.second_check(job, TORQUE, typed=entry, who=crew.inspector, at=now)
    hands.do_all(job)
    client = signed_in(crew.technician)
    named = "TW-1 (ISO 6789 type II A, ± 4 %, calibrated until 13 Aug 2025)"
    for address in (f"steps/{TORQUE}/", "release/"):
        page = client.get(f"/visits/{job.number}/{address}").content.decode()
        assert named in page and "conforms" in page and "set at most 9.6 N·m" in page
    hands.release(job)
    sheet = visits.job_sheet(job)
    for pdf in (job_papers.work_card(sheet), job_papers.release(sheet)):
        said = words(pdf)
        assert named in said and "set to 10.0 N·m" in said and "conforms" in said and "chance" not in said


def test_the_step_says_what_to_set_before_it_is_set(
    job: Job, add: Callable[..., None], signed_in: Callable[..., Client], crew: Any
) -> None:
    client, address = signed_in(crew.technician), f"/visits/{job.number}/steps/{TORQUE}/"
    page = client.get(address).content.decode()
    assert "made for up to 10 N·m, ± 6 %: set it to at most 9.4 N·m" in page
    assert "made for above 10 N·m, ± 4 %: set it to at most 9.6 N·m" in page
    assert "Wrench set to" in page and "Save setting" in page
    add(LARGE)
    page = client.get(address).content.decode()
    assert "Torque wrench, TW-1, ± 4 %: set it to at most 9.6 N·m" in page and "9.4 N·m" not in page


def test_where_the_order_leaves_room_nothing_is_advised(outer: Any, hands: Any) -> None:
    """20 N.m ordered and never more than 22: at 4 % it is 20.8 at the most."""
    from tickover.workshop.visits.steps.torque_setting import advice

    job = hands.open(outer, "nuts-cold")
    line = next(s for s in visits.job_sheet(job).steps if s.limit and s.limit.id == "head-torque")
    assert line.never.above == 22.0 and advice(line.limit, line.never, []) == ()


# The register


def test_a_calibration_can_state_the_class_and_the_next_one_keeps_it(
    by: dict[str, Any], now: datetime
) -> None:
    row = instruments.add_instrument(replace(LARGE, tool_class=""), **by)
    assert register.line_of(row).gauge.deviation() is None
    instruments.calibrate(row, NewCalibration(now.date(), "C-1", tool_class="II A"), **by)
    instruments.calibrate(row, NewCalibration(now.date(), "C-2"), **by)
    assert register.line_of(row).gauge.deviation() == 0.04


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"tool_class": "II Z"}, "is no class of ISO 6789"),
        ({"kind": "feeler", "unit": "mm"}, "Only a torque tool"),
    ],
)
def test_only_a_torque_tool_has_a_class_and_only_a_real_one(
    by: dict[str, Any], change: dict[str, str], says: str
) -> None:
    with pytest.raises(InstrumentError, match=says):
        instruments.add_instrument(replace(LARGE, **change), **by)


def test_the_class_is_asked_and_shown_by_the_register(
    signed_in: Callable[..., Client], crew: Any, add: Callable[..., None]
) -> None:
    client = signed_in(crew.technician)
    assert "II A: setting wrench with a scale" in client.get("/instruments/new/").content.decode()
    add(LARGE)
    assert "ISO 6789 type II A, ± 4 %" in client.get("/instruments/TW-1/").content.decode()
    assert ",II A" in client.get("/instruments.csv").content.decode()


def test_a_tool_from_before_it_had_a_class_still_verifies(by: dict[str, Any], now: datetime) -> None:
    old = Instrument(
        number="TW-0", kind="torque-wrench", title="Torque wrench", unit="N.m", by=by["who"], at=now
    )
    old.resolution, old.expanded_uncertainty = 0.2, 0.4
    facts = {name: value for name, value in old.facts().items() if name != "tool_class"}
    with transaction.atomic():
        body = {"record": old._meta.label, "facts": facts}
        entry = append("instrument added", "instrument/TW-0", body, actor="tilda", at=now)
        old.entry_sequence = entry.sequence
        old.save()
    assert verify().faults == ()
    assert register.line_of(old).gauge.deviation() is None


def test_what_a_reading_kept_of_a_tool_without_a_class_is_still_read(by: dict[str, Any]) -> None:
    row = instruments.add_instrument(replace(LARGE, tool_class=""), **by)
    facts = register.line_of(row).gauge.facts()
    del facts["tool_class"]
    assert Gauge.kept(facts) == register.line_of(row).gauge
