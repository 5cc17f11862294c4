"""The workshop's papers as PDF: work card and release, typeset by Typst from templates.

Content goes in as frozen dataclasses of finished strings and comes out as bytes, the same for the same
content. Imports nothing else of the workshop and never touches the database.
"""

from tickover.workshop.papers.content import (
    NOT_AUTHORITY,
    NOTICE,
    RELEASE_STATEMENT,
    Fact,
    NextDue,
    Picture,
    Piece,
    ReadingLine,
    ReleaseData,
    SecondCheck,
    StepLine,
    WorkCardData,
    WorkDone,
)
from tickover.workshop.papers.typesetting import PaperError, release_pdf, work_card_pdf

__all__ = [
    "NOTICE",
    "NOT_AUTHORITY",
    "RELEASE_STATEMENT",
    "Fact",
    "NextDue",
    "PaperError",
    "Picture",
    "Piece",
    "ReadingLine",
    "ReleaseData",
    "SecondCheck",
    "StepLine",
    "WorkCardData",
    "WorkDone",
    "release_pdf",
    "work_card_pdf",
]
