"""What stands on the paper of a run-up: the verdict first, then the strip, then what it rests on."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from tickover.workshop.papers.content import NOTICE, Fact, PaperPicture


@dataclass(frozen=True)
class RunFinding:
    """A verdict: its mark on the strip ("" for none), what was seen, what to do, against what and how sure."""

    mark: str
    seen: str
    do: str
    against: str
    danger: bool = False


@dataclass(frozen=True)
class RunFigure:
    """A figure with its expanded uncertainty, and how it came about."""

    title: str
    value: str
    spread: str
    formula: str
    inputs: str
    source: str


@dataclass(frozen=True)
class RunUpData:
    """A run-up on paper.

    Parameters
    ----------
    document_date
        Date the PDF carries; the same content with the same date gives the same bytes.
    number
        The journal entry that kept the run.
    answer
        The one sentence that the reader came for; `stop` where it is a danger.
    caption
        What is drawn on the strip, and how it is told apart.
    holds
        What every figure takes for granted, said once.
    not_measured
        Figures that the run does not hold, each with the reason.
    about
        What was taken for granted of the file, and what was left out of it.
    """

    document_date: datetime.date
    workshop: str
    number: str
    serial: str
    title: str
    answer: str
    stop: bool
    facts: tuple[Fact, ...]
    strip: PaperPicture
    caption: str
    findings: tuple[RunFinding, ...]
    good: tuple[str, ...]
    figures: tuple[RunFigure, ...]
    holds: tuple[str, ...]
    not_measured: tuple[str, ...]
    file_name: str
    file_hash: str
    about: tuple[str, ...]
    cautions: tuple[str, ...]
    notice: str = NOTICE
