"""The papers: complete, the same for the same data, kept from being read as code, and archivable."""

from __future__ import annotations

import datetime
import io
from dataclasses import replace

import pypdf
import pytest

from tickover.sheets import Fasteners
from tickover.workshop.drawings import screw_pattern
from tickover.workshop.papers import (
    NOT_AUTHORITY,
    NOTICE,
    Fact,
    NextDue,
    PaperError,
    PaperPicture,
    PieceText,
    ReadingText,
    ReleaseData,
    SecondCheckText,
    StepText,
    WorkCardData,
    WorkDone,
    release_pdf,
    work_card_pdf,
)
from tickover.workshop.papers.typesetting import qr_svg

HASH = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
LEVER = ReadingText("Lever height", "1.38 mm", "1.2 to 1.6 mm", "inside", "depth gauge, 0.02 mm")
SCREWS = screw_pattern(Fasteners(count=4, size="M4", pattern="x", authority="common practice, no source"))

CARD = WorkCardData(
    document_date=datetime.date(2025, 8, 22),
    workshop="Windrow Engine Bench",
    job="J-0042",
    status="open, 1 of 2 steps done",
    engine="Velisk 185",
    serial="PX-00317",
    build="later build, internal pulse passage",
    owner="M. Sample",
    task="Carburettor diaphragm kit",
    engine_time="312.4 h ± 1.5 h",
    sheet="velisk-185",
    sheet_version="3",
    sheet_fingerprint=HASH,
    cautions=("Ignition grounded and plug out before anything is turned.",),
    kit_used=(PieceText("Metering diaphragm", "1", "L-2291"),),
    laid_aside=(PieceText("O-ring 18 × 2", "1", why="only the earlier build has its groove"),),
    pictures=(PaperPicture(SCREWS, "Tightening order of the cover screws"),),
    steps=(
        StepText(
            number="1",
            act="Set the lever height.",
            caution="Too low runs lean.",
            done_by="A. Example",
            done_at="22 Aug 2025 09:50",
            readings=(LEVER,),
            finding="Old diaphragm still soft.",
            critical=True,
            second_check=SecondCheckText(by="B. Second", at="22 Aug 2025 09:58", kind="another person"),
        ),
        StepText(number="2", act="Fit the cover.", readings=(ReadingText("Torque", ""),)),
    ),
)

RELEASE = ReleaseData(
    document_date=datetime.date(2025, 8, 22),
    workshop="Windrow Engine Bench",
    number="R-0042",
    engine="Velisk 185",
    serial="PX-00317",
    build="later build",
    owner="M. Sample",
    time_since_new="312.4 h ± 1.5 h",
    time_by_grade=(Fact("engine meter", "230.0 h"), Fact("owner's word", "82.4 h")),
    work=(WorkDone("Diaphragm kit renewed", "work card J-0042, sheet velisk-185 version 3"),),
    completed_on="22 August 2025",
    released_by="A. Example",
    authority="licence shown: EX-1234",
    released_at="22 Aug 2025 14:05",
    persons=("A. Example", "C. Third"),
    parts=CARD.kit_used,
    readings=(LEVER,),
    second_checks=(SecondCheckText("Lever height", "B. Second", "22 Aug 2025 09:58", "another person"),),
    not_done=("Exhaust repack: wool not in stock.",),
    limitations=("No sustained full throttle for 2 h.",),
    open_items=("Starter rope frayed, deferred to 330 h.",),
    next_due=(NextDue("Diaphragm kit", "412.4 h", "22 August 2026"), NextDue("Ring", "450 h")),
    journal_sequence=1287,
    journal_hash=HASH,
)

HOSTILE = '#import "x.typ": * $x^2$ *b* _i_ `r` <lab> @ref \\ // /* #panic("no") [ ] { } ~ -- "q"'


def text(pdf: bytes) -> str:
    """Words of all pages on one line, without the marks that only allow a break."""
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    return " ".join(" ".join(pages).replace("\u200b", "").split())


@pytest.fixture(scope="module")
def card() -> str:
    return text(work_card_pdf(CARD))


@pytest.fixture(scope="module")
def release() -> str:
    return text(release_pdf(RELEASE))


@pytest.mark.parametrize(
    "said",
    [
        "Carburettor diaphragm kit",
        "J-0042",
        "PX-00317",
        "312.4 h ± 1.5 h",
        "velisk-185, version 3",
        "9f86d081 884c7d65",
        NOTICE,
        "Ignition grounded",
        "Metering diaphragm",
        "L-2291",
        "only the earlier build has its groove",
        "Caution. Too low runs lean.",
        "critical step",
        "1.38 mm",
        "limits 1.2 to 1.6 mm",
        "inside",
        "depth gauge, 0.02 mm",
        "Finding: Old diaphragm still soft.",
        "second check, 22 Aug 2025 09:58",
        "another person",
        "done by, date",
        "page 1 of ",
        "open, 1 of 2 steps done",
    ],
)
def test_the_work_card_says(card: str, said: str) -> None:
    assert said in card


@pytest.mark.parametrize(
    "said",
    [
        # 14 CFR 43.9(a)(1): description of the work, or reference to data
        "Diaphragm kit renewed",
        "work card J-0042, sheet velisk-185 version 3",
        # (a)(2): date of completion
        "Work completed 22 August 2025",
        # (a)(3): name of the person who did the work, when another
        "Done by A. Example, C. Third.",
        # (a)(4): signature, certificate number and kind
        "Signature",
        "licence shown: EX-1234",
        # Regulation (EU) No 1321/2014, Annex Vb, ML.A.801: limitations, and work not completed
        "No sustained full throttle for 2 h.",
        "Exhaust repack: wool not in stock.",
        # Ours: what a reader needs to trust it
        "Starter rope frayed",
        "312.4 h ± 1.5 h",
        "owner's word 82.4 h",
        "Lever height B. Second",
        "no date limit",
        NOT_AUTHORITY,
        NOTICE,
        "entry 1287",
        "9f86d081 884c7d65",
    ],
)
def test_the_release_says(release: str, said: str) -> None:
    assert said in release


def test_a_release_without_exceptions_says_so_instead_of_staying_silent() -> None:
    clean = replace(RELEASE, not_done=(), limitations=(), open_items=())
    assert text(release_pdf(clean)).count("None stated.") == 3


def test_the_same_data_give_the_same_bytes() -> None:
    assert work_card_pdf(CARD) == work_card_pdf(CARD)
    assert release_pdf(RELEASE) == release_pdf(RELEASE)
    assert release_pdf(replace(RELEASE, owner="M. Simple")) != release_pdf(RELEASE)


def test_the_date_of_the_file_is_the_date_of_the_data() -> None:
    metadata = pypdf.PdfReader(io.BytesIO(release_pdf(RELEASE))).metadata
    assert metadata is not None and metadata.creation_date is not None
    assert metadata.creation_date.date() == RELEASE.document_date


@pytest.mark.parametrize("pdf", [work_card_pdf(CARD), release_pdf(RELEASE)], ids=["work card", "release"])
def test_a_paper_claims_archive_and_accessibility_standards(pdf: bytes) -> None:
    """XMP identification of ISO 19005-2 (PDF/A-2, level A) and ISO 14289-1 (PDF/UA-1); tags, language."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    xmp = reader.root_object["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp
    assert reader.root_object["/MarkInfo"]["/Marked"]
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/ViewerPreferences"]["/DisplayDocTitle"]


def alternatives(pdf: bytes) -> list[str]:
    """Alternative texts in the structure tree."""
    objects = pypdf.PdfReader(io.BytesIO(pdf))
    found, waiting = [], [objects.root_object["/StructTreeRoot"]]
    while waiting:
        node = waiting.pop().get_object()
        if isinstance(node, pypdf.generic.ArrayObject):
            waiting += list(node)
        elif isinstance(node, pypdf.generic.DictionaryObject):
            found += [str(node["/Alt"])] if "/Alt" in node else []
            waiting += [node["/K"]] if "/K" in node else []
    return found


def test_pictures_have_words_for_those_who_cannot_see_them() -> None:
    assert alternatives(work_card_pdf(CARD)) == ["Tightening order of the cover screws"]
    assert alternatives(release_pdf(RELEASE)) == [f"QR code: R-0042 1287 {HASH}"]


def test_what_people_type_is_never_read_as_code() -> None:
    hostile = replace(RELEASE, owner=HOSTILE, engine=HOSTILE, not_done=(HOSTILE,), statement=HOSTILE)
    said = text(release_pdf(hostile))
    assert said.count("#import") == said.count("$x^2$ *b* _i_ `r` <lab> @ref") == 4
    steps = (StepText(number=HOSTILE, act=HOSTILE, how=HOSTILE, remark=HOSTILE),)
    assert text(work_card_pdf(replace(CARD, task=HOSTILE, steps=steps))).count("#panic") == 5


def test_line_ends_are_kept_and_long_words_stay_on_the_paper() -> None:
    said = text(release_pdf(replace(RELEASE, serial="W" * 400, statement="one\ntwo\r\nthree")))
    assert "one two" in said
    assert said.replace(" ", "").count("W" * 400) == 1


def test_a_step_longer_than_a_page_runs_on_to_the_next() -> None:
    long = StepText(number="1", act="Clean.", how="Blow each passage. " * 900 + "Last words.")
    pdf = work_card_pdf(replace(CARD, steps=(long,)))
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) > 4
    assert "Last words." in text(pdf)


@pytest.mark.parametrize("owner", ["Żółć Đurđević", "Ωμέγα", "Привет", "שלום"])
def test_names_in_other_scripts_are_set_as_they_are(owner: str) -> None:
    assert "[U+" not in text(release_pdf(replace(RELEASE, owner=owner)))


@pytest.mark.parametrize("owner", ["日本語の工房", "한국", "🛩", "\U000f0000"])
def test_a_name_that_no_font_can_show_is_spelled_and_not_lost(owner: str) -> None:
    said = text(release_pdf(replace(RELEASE, owner=f"{owner} Żółć")))
    assert "Żółć" in said
    assert owner in said or f"[U+{ord(owner[0]):04X}]" in said


@pytest.mark.parametrize("owner", ["a\x00b\x07c", "a\ud800b", "a\u202eb\u200fc", "a\ufffeb"])
def test_characters_that_are_no_text_do_not_stop_a_release(owner: str) -> None:
    assert release_pdf(replace(RELEASE, owner=owner)).startswith(b"%PDF-")


def test_a_broken_picture_is_told_and_no_paper_comes_out() -> None:
    with pytest.raises(PaperError, match="could not be typeset"):
        work_card_pdf(replace(CARD, pictures=(PaperPicture("<svg", "broken"),)))


def test_an_empty_work_card_can_be_printed_and_signed_by_hand() -> None:
    steps = tuple(StepText(number=str(n), act="Do.", second_check=SecondCheckText()) for n in range(1, 4))
    said = text(
        work_card_pdf(replace(CARD, steps=steps, pictures=(), kit_used=(), laid_aside=(), cautions=()))
    )
    assert said.count("done by, date") == said.count("second check, date") == 3


def test_the_code_on_the_release_is_small_enough_to_scan_from_paper() -> None:
    """At 24 mm a module is 0.4 mm or more, so QR version 7 (45 modules, ISO/IEC 18004) at most."""
    svg = qr_svg(f"R-0042 1287 {HASH}")
    modules = int(svg.split('width="')[1].split('"')[0]) - 2
    assert modules <= 45
    assert 24 / (modules + 2) >= 0.4
