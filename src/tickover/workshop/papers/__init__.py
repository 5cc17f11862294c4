"""The workshop's papers as PDF: cards, releases, logbooks, labels, typeset by Typst from templates.

Content goes in as frozen dataclasses of finished strings and comes out as bytes, the same for the same
content. Imports nothing else of the workshop and never touches the database.
"""

from tickover.workshop.papers.content import (
    NOT_AUTHORITY,
    NOTICE,
    RELEASE_STATEMENT,
    BeforeAfterText,
    ElseDue,
    Fact,
    NextDue,
    PaperPicture,
    PieceText,
    ReadingText,
    ReleaseData,
    RunUpLine,
    SecondCheckText,
    StepText,
    WorkCardData,
    WorkDone,
)
from tickover.workshop.papers.record_content import LabelData, RecordData, Section
from tickover.workshop.papers.run_content import RunFigure, RunFinding, RunUpData
from tickover.workshop.papers.typesetting import (
    PaperError,
    label_pdf,
    record_pdf,
    release_pdf,
    run_up_pdf,
    work_card_pdf,
)

__all__ = [
    "NOTICE",
    "NOT_AUTHORITY",
    "RELEASE_STATEMENT",
    "BeforeAfterText",
    "ElseDue",
    "Fact",
    "LabelData",
    "NextDue",
    "PaperError",
    "PaperPicture",
    "PieceText",
    "ReadingText",
    "RecordData",
    "ReleaseData",
    "RunFigure",
    "RunFinding",
    "RunUpData",
    "RunUpLine",
    "SecondCheckText",
    "Section",
    "StepText",
    "WorkCardData",
    "WorkDone",
    "label_pdf",
    "record_pdf",
    "release_pdf",
    "run_up_pdf",
    "work_card_pdf",
]
