"""The first reading of a step is on no page, paper or export until the second is in; then it is on all."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest
from django.test import Client

from tickover.workshop.calculations import queries as calculations
from tickover.workshop.calculations.catalogue import SUMS
from tickover.workshop.fault_finding import actions as fault_finding_actions
from tickover.workshop.fault_finding import queries as fault_finding
from tickover.workshop.fault_finding.actions import NewSession
from tickover.workshop.fault_finding.evidence import from_readings
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument, add_instrument, calibrate
from tickover.workshop.logbook import blank_card, bundle, job_papers
from tickover.workshop.logbook import engine_papers as register_paper
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import StepMark

pytestmark = pytest.mark.usefixtures("verified")

SERVICE, LEVER, FIRST, SECOND = "diaphragm-service", "lever-height", "1.29", "1.41"
"""Both inside 1.2 to 1.6 mm by more than the gauge may be wrong; FIRST is nowhere else on any page."""


@pytest.fixture
def job(sheet_with: Callable[..., None], outer: Any, hands: Any, crew: Any, now: datetime) -> Any:
    """A job whose lever was read with a gauge of the workshop and done, with a remark that says how it reads."""
    sheet_with("limits", LEVER, instrument_kind="depth-gauge", repeats=1, computed="")
    by = {"who": crew.technician, "at": now}
    gauge = add_instrument(NewInstrument("DG-7", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02), **by)
    calibrate(gauge, NewCalibration(now.date(), "C-7", now.date() + timedelta(days=100)), **by)
    opened = hands.open(outer, SERVICE)
    actions.take_reading(opened, LEVER, actions.TypedReading({"typed": FIRST}, instrument="DG-7"), **by)
    actions.mark_done(opened, LEVER, remark=f"it reads {FIRST}", **by)
    return opened


@pytest.fixture
def confirmed(crew: Any, now: datetime) -> Callable[[Any], None]:
    def confirm(job: Any) -> None:
        actions.second_check(job, LEVER, who=crew.inspector, at=now, typed=SECOND)

    return confirm


def without_drawings(page: str) -> str:
    return re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL)


def of_pdf(data: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def of_bundle(engine: Any) -> str:
    out = io.BytesIO()
    bundle.write(engine, out)
    files = zipfile.ZipFile(out)
    names = [name for name in files.namelist() if name.startswith("records/bench") or name.endswith("jsonl")]
    return "\n".join(files.read(name).decode() for name in names)


PAGES = {
    "the step": f"/visits/2025-0001/steps/{LEVER}/",
    "the visit": "/visits/2025-0001/",
    "the release": "/visits/2025-0001/release/",
    "the visits": "/visits/",
    "the engine": "/engines/1200/",
    "the instrument": "/instruments/DG-7/",
    "the journal": "/journal/?subject=job/2025-0001",
    "today": "/",
}


@pytest.mark.parametrize("address", PAGES.values(), ids=PAGES.keys())
def test_no_page_shows_the_first_reading_to_anybody(
    job: Any, crew: Any, signed_in: Callable[..., Client], address: str, hands: Any
) -> None:
    for person in (crew.technician, crew.inspector, crew.manager):
        answer = signed_in(person).get(address)
        if answer.status_code == 403:
            continue
        assert answer.status_code == 200 and FIRST not in without_drawings(answer.content.decode()), person


@pytest.mark.parametrize("name", ["the step", "the visit", "the instrument"])
def test_the_page_shows_it_once_the_second_is_in(
    job: Any, crew: Any, signed_in: Callable[..., Client], confirmed: Callable[[Any], None], name: str
) -> None:
    confirmed(job)
    assert FIRST in signed_in(crew.inspector).get(PAGES[name]).content.decode()


def test_the_work_card_keeps_it_back(job: Any, confirmed: Callable[[Any], None]) -> None:
    told = of_pdf(job_papers.work_card(queries.job_sheet(job)))
    assert FIRST not in told and "taken; shown after the second reading" in told
    confirmed(job)
    told = of_pdf(job_papers.work_card(queries.job_sheet(job)))
    assert FIRST in told and SECOND in told


def test_the_blank_card_and_the_logbook_hold_no_reading(job: Any, outer: Any) -> None:
    assert FIRST not in of_pdf(blank_card.blank_card(outer, SERVICE))
    assert FIRST not in of_pdf(register_paper.logbook(outer))


def test_the_journal_keeps_the_entry_of_the_reading_and_of_the_mark_back(
    job: Any, crew: Any, signed_in: Callable[..., Client], confirmed: Callable[[Any], None]
) -> None:
    reading, mark = job.readings.get(), StepMark.objects.get(step_id=LEVER)
    client = signed_in(crew.inspector)
    for row in (reading, mark):
        page = client.get(f"/journal/{row.entry_sequence}/").content.decode()
        assert FIRST not in page and "Shown after that" in page
    confirmed(job)
    for row in (reading, mark):
        assert FIRST in client.get(f"/journal/{row.entry_sequence}/").content.decode()


def test_the_bundle_leaves_it_out_and_says_so(job: Any, outer: Any, confirmed: Callable[[Any], None]) -> None:
    out = io.BytesIO()
    bundle.write(outer, out)
    assert FIRST not in of_bundle(outer)
    assert "2 records of it are left out here" in zipfile.ZipFile(out).read("README.txt").decode()
    confirmed(job)
    whole = of_bundle(outer)
    assert FIRST in whole and SECOND in whole


def test_fault_finding_does_not_answer_by_it(
    job: Any, outer: Any, crew: Any, now: datetime, confirmed: Callable[[Any], None]
) -> None:
    session = fault_finding_actions.start(outer, NewSession("Idle surges."), who=crew.inspector, at=now)
    sheet = fault_finding.session_sheet(session)
    assert not from_readings.readings_by_limit(sheet) and not from_readings.offers(sheet, now)
    confirmed(job)
    assert [row.value for row in from_readings.readings_by_limit(sheet)[LEVER]] == [1.41, 1.29]


def test_no_sum_begins_with_it(job: Any, outer: Any, confirmed: Callable[[Any], None]) -> None:
    asked = [s for s in SUMS.values() if any(LEVER in field.reading for field in s.fields)]
    assert asked
    for one in asked:
        assert not any("read on" in source for source in calculations.known_of(outer, one).source.values())
    confirmed(job)
    assert any("read on" in s for one in asked for s in calculations.known_of(outer, one).source.values())


def test_what_is_said_of_a_job_does_not_tell_it(outer: Any, hands: Any, crew: Any, now: datetime) -> None:
    """Outside its limit, with a finding: neither blockers, warnings nor findings are told before the second."""
    job = hands.open(outer, SERVICE)
    hands.do(job, "cable-slack", typed="9", finding="sticks", checked=False)
    sheet = queries.job_sheet(job)
    line = sheet.step("cable-slack")
    assert (line.reading, line.readings, line.finding, line.remark, line.warnings) == (None, (), None, "", [])
    assert [b for b in sheet.blockers if b.startswith(line.name)] == [f"{line.name}: second check open."]
    assert line.kept_back and line.taken


def test_what_is_refused_does_not_tell_it(job: Any, crew: Any, now: datetime) -> None:
    for typed in ("14", "abc", ""):
        with pytest.raises((actions.VisitError, ValueError)) as told:
            actions.second_check(job, LEVER, who=crew.inspector, at=now, typed=typed)
        assert FIRST not in str(told.value)
    with pytest.raises(actions.VisitError) as held:
        actions.mark_done(job, "metering-gasket", who=crew.technician, at=now)
    assert FIRST not in str(held.value)


def test_as_found_and_as_left_keep_it_back(
    outer: Any, hands: Any, crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    job = hands.open(outer, "pop-off-and-hold")
    hands.do(job, "lever-found", typed="1.5")
    hands.do(job, LEVER, typed=FIRST, checked=False)
    page = signed_in(crew.inspector).get(f"/visits/{job.number}/release/").content.decode()
    assert "after the second reading" in page and FIRST not in page and "1.50" in page
    card = of_pdf(job_papers.work_card(queries.job_sheet(job)))
    assert FIRST not in card


def test_before_it_is_done_whoever_works_on_it_sees_it(
    outer: Any, hands: Any, crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    job = hands.open(outer, SERVICE)
    actions.take_reading(job, LEVER, FIRST, who=crew.technician, at=now)
    assert FIRST in signed_in(crew.technician).get(PAGES["the step"]).content.decode()
    assert not queries.readings_of(outer), "but no list of readings has it"


def test_a_job_that_ended_without_its_second_check_shows_what_was_read(
    job: Any, crew: Any, now: datetime
) -> None:
    actions.close_without_release(job, "sold as it is", who=crew.technician, at=now)
    assert queries.job_sheet(job).step(LEVER).reading.shown == FIRST
    assert not queries.kept_back()
