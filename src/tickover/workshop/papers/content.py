"""What stands on each paper, ready to print: strings are finished sentences, numbers carry their units."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

NOTICE = (
    "The maker's manual for this engine comes first, then local rules. "
    "Where they differ from this paper, they are right."
)
RELEASE_STATEMENT = (
    "The work described on this paper was done as described, except as stated under Not done, and in respect "
    "of that work the engine is considered ready for release to service within the limitations stated."
)
NOT_AUTHORITY = (
    "This paper gives nobody the authority to release an engine. Local law and the licence of the person "
    "who signs decide whether the signature below is enough."
)


@dataclass(frozen=True)
class Fact:
    """A name and what it is, for the head of a paper."""

    name: str
    value: str


@dataclass(frozen=True)
class PaperPicture:
    """An SVG drawing with the words that replace it for a reader who cannot see it."""

    svg: str
    alt: str


@dataclass(frozen=True)
class PieceText:
    """A part: how many, of which lot, and for a piece laid aside why."""

    part: str
    quantity: str
    lot: str = ""
    why: str = ""


@dataclass(frozen=True)
class ReadingText:
    """A reading with its unit, its limits and what was decided ("inside", "outside", "cannot tell").

    Parameters
    ----------
    detail
        What the value was taken from, for example "median of 0.98, 1.00, 1.01 bar; spread 0.03 bar".
    marks
        What is to be known about the instrument, each as a sentence.
    asks
        Names of the numbers to be written down where none is taken yet; one line each.
    """

    title: str
    value: str
    limits: str = ""
    decision: str = ""
    instrument: str = ""
    detail: str = ""
    marks: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()


@dataclass(frozen=True)
class BeforeAfterText:
    """A limit as it was found and as it is left, each with its unit and what was decided."""

    title: str
    limits: str
    found: str
    left: str


@dataclass(frozen=True)
class SecondCheckText:
    """A look by a second person; an empty `by` leaves a line to sign on. `kind` tells how independent."""

    what: str = ""
    by: str = ""
    at: str = ""
    kind: str = ""


@dataclass(frozen=True)
class StepText:
    """A step of a work card; an empty `done_by` leaves a line to sign on.

    Parameters
    ----------
    ticks
        What may be found, each with what follows, for a box to tick by hand.
    pictures
        Where to measure, beside the reading it is for.
    hold
        Before what it is a hold point; "" for none.
    place
        Heading before it: the place of the engine, where it is the first step there; "" for none.
    """

    number: str
    act: str
    how: str = ""
    caution: str = ""
    done_by: str = ""
    done_at: str = ""
    readings: tuple[ReadingText, ...] = ()
    finding: str = ""
    remark: str = ""
    critical: bool = False
    second_check: SecondCheckText | None = None
    ticks: tuple[str, ...] = ()
    pictures: tuple[PaperPicture, ...] = ()
    hold: str = ""
    place: str = ""


@dataclass(frozen=True)
class WorkCardData:
    """A work card, blank, half done or closed.

    Parameters
    ----------
    document_date
        Date the PDF carries; the same content with the same date gives the same bytes.
    status
        How far the work is, for example "open, 3 of 14 steps done".
    engine_time
        At opening, for example "312.4 h ± 1.5 h".
    cautions
        Said once before the first step.
    lay_out
        Tools and consumables, named before the work begins.
    writing_lines
        What is to be written at the head of a card that belongs to no job yet.
    """

    document_date: datetime.date
    workshop: str
    job: str
    status: str
    engine: str
    serial: str
    build: str
    owner: str
    task: str
    engine_time: str
    sheet: str
    sheet_version: str
    sheet_fingerprint: str
    steps: tuple[StepText, ...]
    cautions: tuple[str, ...] = ()
    kit_used: tuple[PieceText, ...] = ()
    laid_aside: tuple[PieceText, ...] = ()
    before_after: tuple[BeforeAfterText, ...] = ()
    pictures: tuple[PaperPicture, ...] = ()
    lay_out: tuple[Fact, ...] = ()
    writing_lines: tuple[str, ...] = ()
    notice: str = NOTICE


@dataclass(frozen=True)
class WorkDone:
    """Work that was done, with references to the data it was done by (card, sheet and version)."""

    description: str
    references: str


@dataclass(frozen=True)
class RunUpLine:
    """A run-up on the ground of the work: when, its verdict, and how it is found again."""

    when: str
    answer: str
    reference: str


@dataclass(frozen=True)
class NextDue:
    """When a task is due next, by hours and by date; empty where it has no such limit."""

    task: str
    hours: str = ""
    date: str = ""


@dataclass(frozen=True)
class ElseDue:
    """A task that the visit did not do: its state when released, and its limits; empty where it has no such limit."""

    task: str
    state: str
    hours: str = ""
    date: str = ""


@dataclass(frozen=True)
class ReleaseData:
    """A release to service.

    Parameters
    ----------
    document_date
        Date the PDF carries; the same content with the same date gives the same bytes.
    time_since_new
        With its uncertainty, for example "412.6 h ± 2.1 h".
    time_by_grade
        Grade of evidence and the hours resting on it.
    persons
        Others who did the work.
    not_done
        Ordered work that was not done or not finished, each with its reason.
    exceedances
        What went beyond a limit that is never passed, and how it was answered, each as sentences.
    run_up_warnings
        What was to be known of the run-ups when it was signed, each as a sentence.
    rules
        The workshop's rule for second looks on that day, where one was taken.
    authority
        Certificate, licence or other standing of the person who releases, in their own words.
    journal_sequence, journal_hash
        Head of the journal when the release was written.

    References
    ----------
    The fields follow what 14 CFR 43.9(a) asks of a maintenance record entry (description of the work or
    reference to data, date of completion, name of another person doing the work, signature, certificate
    number and kind) and what point ML.A.801 of Annex Vb to Regulation (EU) No 1321/2014 asks of a release
    (basic details, date, identity, limitations, work left incomplete). Neither is claimed to be satisfied.
    """

    document_date: datetime.date
    workshop: str
    number: str
    engine: str
    serial: str
    build: str
    owner: str
    time_since_new: str
    work: tuple[WorkDone, ...]
    completed_on: str
    released_by: str
    authority: str
    released_at: str
    journal_sequence: int
    journal_hash: str
    time_by_grade: tuple[Fact, ...] = ()
    persons: tuple[str, ...] = ()
    parts: tuple[PieceText, ...] = ()
    readings: tuple[ReadingText, ...] = ()
    before_after: tuple[BeforeAfterText, ...] = ()
    second_checks: tuple[SecondCheckText, ...] = ()
    rules: str = ""
    not_done: tuple[str, ...] = ()
    limitations: tuple[str, ...] = ()
    open_items: tuple[str, ...] = ()
    exceedances: tuple[str, ...] = ()
    run_ups: tuple[RunUpLine, ...] = ()
    run_up_warnings: tuple[str, ...] = ()
    next_due: tuple[NextDue, ...] = ()
    else_due: tuple[ElseDue, ...] = ()
    statement: str = RELEASE_STATEMENT
    not_authority: str = NOT_AUTHORITY
    notice: str = NOTICE
