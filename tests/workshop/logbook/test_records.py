"""docs/records.md, row by row: what each rule asks of an entry stands on paper, and the table names its test.

What the rules ask is told in the page itself, with how each text was read. These tests hold the papers against it;
they do not say that an authority is satisfied.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest

from tests.kept import once
from tickover.workshop.components.actions import (
    ComponentChange,
    NewComponent,
    add_component,
    fit,
    record_overhaul,
)
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import bundle, hand_back, job_papers
from tickover.workshop.logbook import engine_papers as register_paper
from tickover.workshop.people.actions import NewPerson, add_person
from tickover.workshop.programme.models import Bulletin
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries

DOCS = Path(__file__).parents[3] / "docs" / "records.md"

pytestmark = pytest.mark.usefixtures("verified")


def words(pdf: bytes) -> str:
    found = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    return " ".join(" ".join(found).replace("\u200b", "").split())


@pytest.fixture
def engine(outer: Any, hours: Callable[..., Any], crew: Any, now: datetime) -> Any:
    hours(outer, 20.0, date(2025, 2, 1))
    record_overhaul(
        outer, on_day=date(2025, 3, 1), remark="bearings", who=crew.manager, at=now - timedelta(days=10)
    )
    hours(outer, 5.5, date(2025, 4, 1))
    clutch = add_component(NewComponent("clutch", "Clutch", "K-7", 12.0, 1.0), who=crew.manager, at=now)
    fit(clutch, outer, ComponentChange(now - timedelta(days=90), crew.manager, now, "new shoes"))
    return outer


@pytest.fixture
def job(engine: Any, hands: Any, crew: Any, data_folder: Path) -> Any:
    """A diaphragm service, done by the technician and released by the inspector."""
    return once("visit of the records", lambda: _released(engine, hands, crew), data_folder)


def _released(engine: Any, hands: Any, crew: Any) -> Any:
    made = hands.open(engine, "diaphragm-service")
    visit_actions.note_kit(made, "L-2291", who=crew.technician, at=hands.at)
    hands.do_all(made)
    said = visit_actions.ReleaseWords(
        not_done="Exhaust repack: no wool.", limitations="No full throttle for 1 h."
    )
    visit_actions.release(made, said, who=crew.inspector, at=hands.at)
    return made


@pytest.fixture
def release(job: Any) -> str:
    return words(job_papers.release(queries.job_sheet(job)))


@pytest.fixture
def card(job: Any) -> str:
    return words(job_papers.work_card(queries.job_sheet(job)))


@pytest.fixture
def logbook(job: Any, engine: Any, crew: Any, now: datetime) -> str:
    bulletin("VB-7", engine, crew, now, serial_from=1000, serial_to=1300, mandatory=True)
    bulletin("VB-8", engine, crew, now, serial_from=5000, serial_to=6000, mandatory=False)
    return words(register_paper.logbook(engine))


def bulletin(identifier: str, engine: Any, crew: Any, now: datetime, **more: Any) -> None:
    row = Bulletin(
        identifier=identifier, issued_by="Velisk", title="Reed petals", sheet_id=engine.sheet_id, builds=[],
        issued_on=date(2025, 1, 10), method="Look at the petals.", within_h=50.0, entered_by=crew.manager, **more,
    )  # fmt: skip
    journal.record(row, "bulletin entered", f"bulletin/{identifier}", actor="maud", at=now)


def test_43_9_a_1_description_of_work(release: str, card: str) -> None:
    assert "Carburettor diaphragm service" in release and "L-2291" in release
    assert "Set the" in card and "Metering diaphragm" in card


def test_43_9_a_1_reference_to_data(release: str) -> None:
    assert re.search(r"of type sheet velisk-185, version \d+ \([0-9a-f]{12}…\); visit 2025-0001", release)


def test_43_9_a_2_date_of_completion(release: str) -> None:
    assert "Work completed 5 May 2025" in release


def test_43_9_a_3_name_of_who_did_the_work(release: str, card: str) -> None:
    assert "Tilda Reeve: did the work" in release
    assert card.count("Tilda Reeve") > 10


def test_43_9_a_4_signature_and_certificate(release: str) -> None:
    assert "Released by Ingo Halm I-1" in release and "Signature" in release


def test_43_9_a_4_nobody_without_a_certificate_releases(engine: Any, hands: Any, now: datetime) -> None:
    made = hands.open(engine)
    hands.do_all(made)
    apprentice = add_person(NewPerson("pip", "Pip", "Arden", "technician"), at=now)
    with pytest.raises(visit_actions.VisitError, match="has no release authority"):
        visit_actions.release(made, visit_actions.ReleaseWords(), who=apprentice, at=now)


def test_43_11_type_of_inspection_and_its_extent(release: str, card: str) -> None:
    assert "Carburettor diaphragm service" in release
    done = re.search(r"released, (\d+) of (\d+) steps done", card)
    assert done and done[1] == done[2]


def test_43_11_date_and_time_in_service(release: str) -> None:
    assert "Time since new 25.5 h" in release and "5 May 2025" in release


def test_43_11_list_of_discrepancies_for_the_owner(job: Any) -> None:
    sheet = words(hand_back.hand_back(queries.job_sheet(job)))
    assert "What was not done" in sheet and "Exhaust repack" in sheet and "What may wait" in sheet


def test_43_12_a_record_cannot_be_altered(job: Any) -> None:
    from django.db import DatabaseError, transaction

    with pytest.raises(DatabaseError), transaction.atomic():
        Entry.objects.filter(sequence=1).update(actor="somebody")


def test_91_417_a_1_work_date_and_signature_of_each_release(logbook: str) -> None:
    assert "Released 5 May 2025 by Ingo Halm, I-1; R-2025-0001" in logbook


def test_91_417_a_2_i_total_time_in_service(logbook: str) -> None:
    assert "Time since new" in logbook and "25.5 h (±" in logbook


def test_91_417_a_2_ii_life_of_components(engine: Any, logbook: str) -> None:
    fitting = engine.fittings.get()
    own = words(register_paper.component_card(fitting.component))
    # Came with 12 h; fitted 4 February, so of 25.5 h only the 5.5 h of April were run with it.
    assert "17.5 h (±" in own and "on Outer" in own
    assert "Clutch clutch, serial K-7" in logbook and "new shoes" in logbook


def test_91_417_a_2_iii_time_since_overhaul(logbook: str) -> None:
    assert "Time since overhaul" in logbook and "5.5 h (±" in logbook and "bearings" in logbook


def test_91_417_a_2_iv_inspection_status(logbook: str) -> None:
    assert re.search(r"Carburettor diaphragm service 5 May 2025, 25\.5 h 1\d\d\.5 h", logbook)


def test_91_417_a_2_v_status_of_directives(logbook: str) -> None:
    assert "VB-7 Reed petals, mandatory by its issuer applies" in logbook


def test_91_417_b_2_records_go_with_the_engine(job: Any, engine: Any) -> None:
    out = io.BytesIO()
    bundle.write(engine, out)
    held = zipfile.ZipFile(out)
    assert {"logbook.pdf", "releases/R-2025-0001.pdf", "MANIFEST.sha256"} <= set(held.namelist())
    assert json.loads(held.read("records/bench-release.json"))[0]["authority"] == "I-1"


def test_ml_a_305_date_and_total_time_of_an_entry(logbook: str) -> None:
    assert re.search(r"1 Feb 2025 20\.00 0\.2 log entry", logbook)


def test_ml_a_305_modifications_and_repairs_as_recorded(logbook: str) -> None:
    assert "Components fitted and removed" in logbook and "Overhauls" in logbook


def test_ml_a_305_status_of_the_programme(logbook: str) -> None:
    assert "Programme" in logbook and "Last done or counted from" in logbook


def test_ml_a_305_deferred_defects(logbook: str) -> None:
    assert "Deferred defects" in logbook


def test_amc1_ml_a_305_c_why_a_directive_does_not_apply(logbook: str) -> None:
    assert "VB-8 Reed petals does not apply: serial 1200 is outside its range" in logbook


def test_ml_a_801_a_refused_while_work_is_open(engine: Any, hands: Any, crew: Any, now: datetime) -> None:
    made = hands.open(engine)
    with pytest.raises(visit_actions.VisitError, match="Not released"):
        visit_actions.release(made, visit_actions.ReleaseWords(), who=crew.inspector, at=now)


def test_ml_a_801_d_who_helped_is_named(release: str) -> None:
    assert "Tilda Reeve: did the work" in release and "Released by Ingo Halm" in release


def test_ml_a_801_limitations_and_what_is_not_done(release: str) -> None:
    assert "Not done – Exhaust repack: no wool." in release
    assert "Limitations – No full throttle for 1 h." in release


def test_a_correction_stays_beside_what_it_corrects(engine: Any, crew: Any, now: datetime) -> None:
    entry = engine.time_entries.order_by("id").first()
    time_actions.withdraw(entry, "entered twice", who=crew.manager, at=now)
    said = words(register_paper.logbook(engine))
    assert "replaced" in said and f"withdraws entry {entry.entry_sequence}" in said


def test_the_page_names_every_one_of_these_tests_and_no_other() -> None:
    here = set(re.findall(r"^def (test_\w+)", Path(__file__).read_text(), re.MULTILINE))
    of_the_page = {name for name in here if "_of_the_page_" in name or "_the_page_" in name}
    assert set(re.findall(r"`(test_\w+)`", DOCS.read_text())) == here - of_the_page


def test_every_row_of_the_page_names_its_test_or_says_that_it_is_not_provided_for() -> None:
    rules = DOCS.read_text().split("## The papers")[0].splitlines()
    rows = [r for r in rules if r.startswith("| ") and not r.startswith("| asked")]
    assert len(rows) > 20
    for row in rows:
        assert "`test_" in row or "not provided for" in row.lower() or "yours" in row, row
