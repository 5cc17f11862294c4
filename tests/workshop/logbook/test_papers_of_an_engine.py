"""Papers that tell of an engine: blank card, hand-back sheet, component card, logbook, label."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.test import Client

from tests.kept import once
from tickover.workshop.components.actions import ComponentChange, NewComponent, add_component, fit, take_back
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme.models import Bulletin
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries as visits

pytestmark = pytest.mark.usefixtures("verified")


def words(pdf: bytes) -> str:
    """Words of all pages on one line, without the marks that only allow a break."""
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def pages(pdf: bytes) -> int:
    return len(pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.fixture
def carburettor(outer: Any, crew: Any, now: datetime) -> Any:
    part = add_component(
        NewComponent("carburettor", "Carburettor", "C-9", 30.0, 2.0), who=crew.manager, at=now
    )
    fit(part, outer, ComponentChange(now - timedelta(days=60), crew.manager, now, "from the old engine"))
    return part


@pytest.fixture
def flown(outer: Any, hours: Callable[..., Any]) -> Any:
    hours(outer, 12.5, date(2025, 2, 1))
    hours(outer, 8.0, date(2025, 3, 20))
    return outer


@pytest.fixture
def released(flown: Any, carburettor: Any, hands: Any, crew: Any, data_folder: Path) -> Any:
    """A diaphragm service with findings and a limitation, signed."""
    return once("visit of the papers", lambda: _released(flown, hands, crew), data_folder)


def _released(flown: Any, hands: Any, crew: Any) -> Any:
    job = hands.open(flown, "diaphragm-service")
    bad = {"pulse-hose-off": "hard", "metering-cover-off": ""}
    for line in visits.job_sheet(job).steps:
        replaces = [f.id for f in line.step.findings if f.action == "replace"]
        hands.do(job, line.step.id, finding=replaces[0] if line.step.id in bad and replaces else "")
    spoken = visit_actions.ReleaseWords(
        not_done="Exhaust repack: no wool.", limitations="No full throttle for 1 h."
    )
    visit_actions.release(job, spoken, who=crew.technician, at=hands.at)
    return job


@pytest.fixture
def browser(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def fetched(browser: Client, address: str) -> bytes:
    answer = browser.get(address)
    assert answer.status_code == 200, answer.content[:400]
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def papers_of(job: Any, component: Any) -> dict[str, str]:
    return {
        "blank card": "/engines/1200/tasks/diaphragm-service/blank-card.pdf",
        "work card": f"/visits/{job.number}/work-card.pdf",
        "release": f"/visits/{job.number}/release.pdf",
        "hand-back": f"/visits/{job.number}/hand-back.pdf",
        "component card": f"/components/{component.entry_sequence}/card.pdf",
        "logbook": "/engines/1200/logbook.pdf",
        "label": "/engines/1200/label.pdf",
    }


NAMES = ["blank card", "work card", "release", "hand-back", "component card", "logbook", "label"]


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_can_be_kept_and_read_aloud(
    released: Any, carburettor: Any, browser: Client, name: str
) -> None:
    """ISO 19005-2 level A and ISO 14289-1, as far as a PDF library can see: claim, tags, language, title,
    output intent, and every font in the file. No validator of these standards was at hand."""
    pdf = fetched(browser, papers_of(released, carburettor)[name])
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    root = reader.root_object
    xmp = root["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp and "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp
    assert root["/MarkInfo"]["/Marked"] and "/StructTreeRoot" in root and root["/Lang"] == "en"
    assert root["/OutputIntents"][0]["/S"] == "/GTS_PDFA1"
    assert reader.metadata is not None and reader.metadata.title
    fonts = [f.get_object() for page in reader.pages for f in page["/Resources"]["/Font"].values()]
    assert fonts and all(_embedded(font) for font in fonts)


def _embedded(font: Any) -> bool:
    below = [d.get_object() for d in font.get("/DescendantFonts", [])] or [font]
    return all({"/FontFile2", "/FontFile3"} & set(d["/FontDescriptor"].get_object()) for d in below)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_records_give_the_same_bytes(
    released: Any, carburettor: Any, browser: Client, name: str
) -> None:
    address = papers_of(released, carburettor)[name]
    assert fetched(browser, address) == fetched(browser, address)


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_stands_on_a4_and_writes_nothing(
    released: Any, carburettor: Any, browser: Client, name: str
) -> None:
    """ISO 216: A4 is 210 mm by 297 mm."""
    before = Entry.objects.count()
    for page in pypdf.PdfReader(io.BytesIO(fetched(browser, papers_of(released, carburettor)[name]))).pages:
        width, height = (float(side) / 72 * 25.4 for side in page.mediabox[2:])
        assert (round(width), round(height)) == (210, 297)
    assert Entry.objects.count() == before


def test_a_blank_card_opens_no_job_and_has_lines_to_write_on(flown: Any, browser: Client) -> None:
    said = words(fetched(browser, "/engines/1200/tasks/diaphragm-service/blank-card.pdf"))
    assert list(visits.listed()) == []
    for wanted in (
        "Blank work card 1200",
        "20.5 h, known to 20 Mar 2025",
        "Visit number",
        "Engine time when begun",
        "not opened in the register",
        "Hard, cracked, soft or full of oil: replace.",
        "second check, date",
        "Not used",
        "Metering lever height from the body face",
    ):
        assert wanted in said


def test_a_blank_card_shows_where_to_measure(flown: Any, browser: Client) -> None:
    pdf = fetched(browser, "/engines/1200/tasks/diaphragm-service/blank-card.pdf")
    assert b"Where to measure" in pdf or "Where to measure" in " ".join(alternatives(pdf))


def alternatives(pdf: bytes) -> list[str]:
    """Alternative texts in the structure tree."""
    found, waiting = [], [pypdf.PdfReader(io.BytesIO(pdf)).root_object["/StructTreeRoot"]]
    while waiting:
        node = waiting.pop().get_object()
        if isinstance(node, pypdf.generic.ArrayObject):
            waiting += list(node)
        elif isinstance(node, pypdf.generic.DictionaryObject):
            found += [str(node["/Alt"])] if "/Alt" in node else []
            waiting += [node["/K"]] if "/K" in node else []
    return found


def test_every_task_of_every_build_has_a_card_that_can_be_printed(
    flown: Any, inner: Any, browser: Client
) -> None:
    from tickover.workshop.register.queries import build_of

    for engine in (flown, inner):
        for task in [t for t in build_of(engine).programme if t.card][::6]:
            pdf = fetched(browser, f"/engines/{engine.serial}/tasks/{task.id}/blank-card.pdf")
            assert task.title in words(pdf)


@pytest.mark.parametrize(
    "address",
    [
        "/engines/9999/tasks/diaphragm-service/blank-card.pdf",
        "/engines/1200/tasks/varnish/blank-card.pdf",
        "/engines/1200/tasks/baseline-inspection/blank-card.pdf",
        "/visits/2025-9999/hand-back.pdf",
        "/components/999999/card.pdf",
        "/engines/9999/logbook.pdf",
        "/engines/9999/label.pdf",
        "/engines/9999/bundle.zip",
        "/engines/1200/label.pdf?copies=0",
        "/engines/1200/label.pdf?copies=25",
        "/engines/1200/label.pdf?copies=all",
    ],
)
def test_what_is_not_there_is_404(outer: Any, browser: Client, address: str) -> None:
    assert browser.get(address).status_code == 404


def test_a_job_that_is_not_released_has_nothing_to_hand_back(outer: Any, hands: Any, browser: Client) -> None:
    answer = browser.get(f"/visits/{hands.open(outer).number}/hand-back.pdf")
    assert answer.status_code == 404


def test_the_hand_back_sheet_is_one_page_in_the_owners_words(released: Any, browser: Client) -> None:
    pdf = fetched(browser, f"/visits/{released.number}/hand-back.pdf")
    said = words(pdf)
    assert pages(pdf) == 1
    for wanted in (
        "Dear Owner of Outer",
        "Hard, cracked, soft or full of oil",
        "Exhaust repack: no wool.",
        "Limitation: No full throttle for 1 h.",
        "What may wait, and until when None.",
        "What comes next",
        "run the engine on the ground",
        "common practice, no source",
        "20.5 h",
    ):
        assert wanted in said


def test_a_hand_back_sheet_with_much_to_say_stays_one_page_and_counts_the_rest(
    flown: Any, hands: Any, crew: Any, now: datetime, browser: Client
) -> None:
    job = hands.open(flown, "diaphragm-service")
    hands.do_all(job)
    for line in visits.job_sheet(job).steps[:15]:
        visit_actions.reopen(job, line.step.id, "to be looked at again", who=crew.technician, at=now)
        if line.limit:
            hands.do(job, line.step.id)
            continue
        good = [f.id for f in line.step.findings if f.action in ("continue", "replace")]
        visit_actions.mark_done(
            job,
            line.step.id,
            finding_id=good[0] if good else "",
            remark=f"Remark {line.number}: " + "seen and cleaned. " * 4,
            no_photo="no camera at hand" if line.step.photo else "",
            who=crew.technician,
            at=now,
        )
        if line.step.second_check:
            visit_actions.second_check(job, line.step.id, who=crew.inspector, at=now)
    hands.release(job)
    pdf = fetched(browser, f"/visits/{job.number}/hand-back.pdf")
    assert pages(pdf) == 1 and "more; see the work card" in words(pdf)


def test_the_component_card_sums_what_it_came_with_and_what_it_ran(
    flown: Any, carburettor: Any, browser: Client
) -> None:
    said = words(fetched(browser, f"/components/{carburettor.entry_sequence}/card.pdf"))
    # Fitted 6 March: of 12.5 h and 8 h only the second was run with it; 30 h + 8 h.
    assert "38.0 h" in said and "Came with 30.0 h" in said and "8.00 h" in said
    assert "on Outer, serial 1200" in said and "from the old engine" in said


def test_a_fitting_taken_back_stays_on_the_card_and_in_the_logbook(
    flown: Any, carburettor: Any, crew: Any, now: datetime, browser: Client
) -> None:
    when = now - timedelta(days=60)
    take_back(carburettor, ComponentChange(when, crew.manager, now, "wrong serial typed"))
    card = words(fetched(browser, f"/components/{carburettor.entry_sequence}/card.pdf"))
    book = words(fetched(browser, "/engines/1200/logbook.pdf"))
    assert "wrong serial typed" in card and "30.0 h (± 4 h) since new, on no engine" in card
    assert "withdrawn: never fitted" in book and "Fitting of Carburettor C-9" in book


def test_the_logbook_keeps_known_estimated_and_not_known_apart(
    flown: Any, crew: Any, now: datetime, browser: Client
) -> None:
    guess = time_actions.TypedHours(40.0, 8.0, date(2025, 1, 1), "estimate", "seller's guess")
    time_actions.enter_hours(flown, guess, who=crew.manager, at=now)
    said = words(fetched(browser, "/engines/1200/logbook.pdf"))
    known, rest = said.split("What is estimated")
    estimated, unknown = rest.split("What is not known")
    assert "log entry 20.50 h" in known.split("What is known")[1]
    assert "estimate 40.00 h" in estimated
    assert "Not recorded as done here" in unknown


def test_the_logbook_tells_the_whole_history(released: Any, browser: Client) -> None:
    said = words(fetched(browser, "/engines/1200/logbook.pdf"))
    for wanted in (
        "Logbook of Outer",
        "R-2025-0001",
        "Tilda Reeve, T-1",
        "Not done: Exhaust repack: no wool.",
        "Carburettor carburettor, serial C-9",
        "log entry; pilot's log",
        "No entry was corrected.",
        "no overhaul recorded",
        Entry.objects.order_by("-sequence")[0].hash[:20],
    ):
        assert wanted in said, wanted


def test_a_withdrawn_entry_stays_in_the_logbook_and_counts_no_more(
    flown: Any, crew: Any, now: datetime, browser: Client
) -> None:
    entry = flown.time_entries.order_by("id").last()
    time_actions.withdraw(entry, "entered twice", who=crew.manager, at=now)
    said = words(fetched(browser, "/engines/1200/logbook.pdf"))
    assert "12.5 h (±" in said and "replaced" in said
    assert f"withdraws entry {entry.entry_sequence}" in said and "entered twice" in said


def test_a_bulletin_stands_in_the_logbook_with_why_it_applies(
    flown: Any, crew: Any, now: datetime, browser: Client
) -> None:
    from tickover.workshop.kernel import actions as journal

    row = Bulletin(
        identifier="VB-7", issued_by="Velisk", title="Reed petals", sheet_id=flown.sheet_id, builds=[],
        issued_on=date(2025, 1, 10), mandatory=True, method="Look at the petals.", within_h=50.0,
        entered_by=crew.manager, serial_from=1000, serial_to=1300,
    )  # fmt: skip
    journal.record(row, "bulletin entered", "bulletin/VB-7", actor="maud", at=now)
    said = words(fetched(browser, "/engines/1200/logbook.pdf"))
    assert "VB-7 Reed petals, mandatory by its issuer" in said and "serial 1200 is in its range" in said


@pytest.mark.parametrize("copies", [1, 24])
def test_a_label_opens_the_engines_page_under_the_workshops_name(
    outer: Any, browser: Client, settings: Any, copies: int
) -> None:
    settings.CSRF_TRUSTED_ORIGINS = ["https://.every.example", "https://bench.example"]
    pdf = fetched(browser, f"/engines/1200/label.pdf?copies={copies}")
    assert pages(pdf) == 1
    assert words(pdf).count("serial 1200") == copies
    assert alternatives(pdf) == ["QR code: https://bench.example/engines/1200/"] * copies


def test_without_a_name_of_its_own_a_label_takes_the_one_it_was_asked_by(outer: Any, browser: Client) -> None:
    pdf = browser.get("/engines/1200/label.pdf?copies=1", headers={"host": "localhost:8811"}).content
    assert alternatives(pdf) == ["QR code: http://localhost:8811/engines/1200/"]


def test_the_code_on_a_label_is_large_enough_for_a_telephone() -> None:
    """At 27 mm a module is 0.5 mm or more for an address of 80 characters (ISO/IEC 18004, level M)."""
    from tickover.workshop.papers.typesetting import qr_svg

    svg = qr_svg("https://" + "a" * 72)
    found = re.search(r'width="(\d+)"', svg)
    assert found and 27 / int(found[1]) >= 0.5


def test_the_pages_lead_to_the_papers(released: Any, carburettor: Any, browser: Client) -> None:
    page = browser.get("/engines/1200/").content.decode()
    for address in ("/engines/1200/logbook.pdf", "/engines/1200/bundle.zip", "/engines/1200/label.pdf"):
        assert f'href="{address}"' in page
    card = f"/components/{carburettor.entry_sequence}/card.pdf"
    assert card in browser.get(f"/components/{carburettor.entry_sequence}/").content.decode()
    task = browser.get("/engines/1200/tasks/diaphragm-service/").content.decode()
    assert "/engines/1200/tasks/diaphragm-service/blank-card.pdf" in task
