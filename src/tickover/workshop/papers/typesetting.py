"""How content becomes a PDF: Typst templates, content passed as JSON and never as Typst source.

Each PDF claims PDF/A-2a (ISO 19005-2, for keeping) and PDF/UA-1 (ISO 14289-1, for screen readers); Typst
refuses to write a file that would break the claim.
"""

from __future__ import annotations

import datetime
import io
import json
import re
import unicodedata
from collections.abc import Callable
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import segno
import typst

from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.papers.content import ReleaseData, WorkCardData
from tickover.workshop.papers.record_content import LabelData, RecordData
from tickover.workshop.papers.run_content import RunUpData

TEMPLATES = Path(__file__).parent / "templates"
STANDARDS: list[typst.PDFStandard] = ["a-2a", "ua-1"]


class PaperError(RefusedError):
    """A paper could not be typeset; the message says why."""


def work_card_pdf(data: WorkCardData) -> bytes:
    """The work card as PDF, byte for byte the same for the same data.

    Raises
    ------
    PaperError
        A picture is not valid SVG.
    """
    return _typeset("work_card.typ", asdict(data), data.document_date)


def release_pdf(data: ReleaseData) -> bytes:
    """The release as PDF, byte for byte the same for the same data.

    A QR code (ISO/IEC 18004) carries the release number and the head of the journal, so that paper and
    database can be held against each other.
    """
    text = f"{data.number} {data.journal_sequence} {data.journal_hash}"
    content = asdict(data) | {"code": {"svg": qr_svg(text), "alt": f"QR code: {text}"}}
    return _typeset("release.typ", content, data.document_date)


def record_pdf(data: RecordData) -> bytes:
    """A hand-back sheet, component card or logbook as PDF, byte for byte the same for the same data."""
    return _typeset("record.typ", asdict(data), data.document_date)


def run_up_pdf(data: RunUpData) -> bytes:
    """A run-up as PDF, its strip as vectors, byte for byte the same for the same data.

    Raises
    ------
    PaperError
        The strip is not valid SVG.
    """
    return _typeset("run_up.typ", asdict(data), data.document_date)


def label_pdf(data: LabelData) -> bytes:
    """Labels on a sheet of A4; the QR code (ISO/IEC 18004) holds the address of the engine's page."""
    code = {"svg": qr_svg(data.address), "alt": f"QR code: {data.address}"}
    return _typeset("label.typ", asdict(data) | {"code": code}, data.document_date)


def qr_svg(text: str) -> str:
    """A QR code as SVG text, error correction level M."""
    drawn = io.BytesIO()
    segno.make_qr(text, error="m").save(drawn, kind="svg", xmldecl=False, border=1, scale=1)
    return drawn.getvalue().decode()


def _typeset(template: str, content: dict[str, Any], day: datetime.date) -> bytes:
    """Try the fonts that come with Typst, then the machine's, then spell out what no font can show."""
    for spelling, system_fonts in _WAYS:
        inputs = {"data": json.dumps(_each_string(content, spelling), default=str)}
        try:
            return _compile(template, inputs, day, system_fonts)
        except typst.TypstError as error:
            if "could not be displayed" not in error.message:
                raise PaperError(f"the paper could not be typeset: {error.message}") from error
    raise PaperError("the paper could not be typeset: a character has no glyph in any font")


def _compile(template: str, inputs: dict[str, str], day: datetime.date, system_fonts: bool) -> bytes:
    midnight = datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
    return typst.compile(
        TEMPLATES / template,
        root=TEMPLATES,
        font_paths=_fonts(system_fonts),
        ignore_system_fonts=not system_fonts,
        sys_inputs=inputs,
        pdf_standards=STANDARDS,
        timestamp=midnight,
    )


@cache
def _fonts(system_fonts: bool) -> typst.Fonts:
    return typst.Fonts(include_system_fonts=system_fonts, include_embedded_fonts=True)


def _each_string(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {key: _each_string(inner, change) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_each_string(inner, change) for inner in value]
    return value


def _printable(words: str) -> str:
    """Line ends kept, other control characters and lone surrogates shown as a replacement character."""
    kept = (c if c in "\n\t" or unicodedata.category(c) not in ("Cc", "Cs") else "\ufffd" for c in words)
    return "".join(kept)


def _spelled_beyond(kept: str) -> Callable[[str], str]:
    """Characters outside the class `kept` as their code points, so that none is lost without a trace."""
    beyond = re.compile(f"[^\\t\\n{kept}]")
    return lambda words: beyond.sub(lambda found: f"[U+{ord(found[0]):04X}]", _printable(words))


_LATIN = " -\u024f"
_NEAR = _LATIN + "\u0370-\u04ff\u0590-\u06ff\u2010-\u205f\u2070-\u23ff\ufffd"
_WAYS: list[tuple[Callable[[str], str], bool]] = [
    (_printable, False),
    (_printable, True),
    (_spelled_beyond(_NEAR), False),
    (_spelled_beyond(_LATIN), False),
]
