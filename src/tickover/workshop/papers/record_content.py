"""What stands on papers that tell of records: hand-back sheet, component card, logbook; and on labels."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from tickover.workshop.papers.content import NOTICE, Fact


@dataclass(frozen=True)
class Section:
    """One heading of a record: words, then a table or points; `none_said` stands where there is nothing.

    Parameters
    ----------
    widths
        Weight of each column; empty gives each the same.
    """

    title: str
    words: str = ""
    columns: tuple[str, ...] = ()
    widths: tuple[float, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    points: tuple[str, ...] = ()
    none_said: str = "None recorded."


@dataclass(frozen=True)
class RecordData:
    """A record on paper.

    Parameters
    ----------
    document_date
        Date the PDF carries; the same content with the same date gives the same bytes.
    kind, number
        Stand at the head of each page, for example "Logbook", "1200".
    words
        The answer that the reader came for, in a sentence or two under the title.
    signed
        Roles for which a line to sign on stands at the end.
    foot
        Small print after the last section.
    """

    document_date: datetime.date
    workshop: str
    kind: str
    number: str
    serial: str
    title: str
    facts: tuple[Fact, ...]
    sections: tuple[Section, ...]
    words: str = ""
    signed: tuple[str, ...] = ()
    foot: str = ""
    notice: str = NOTICE


@dataclass(frozen=True)
class LabelData:
    """A label for an engine; its code carries the address of the engine's page.

    Parameters
    ----------
    copies
        How many stand on the sheet, 1 to 24.
    """

    document_date: datetime.date
    workshop: str
    name: str
    serial: str
    engine: str
    address: str
    copies: int
