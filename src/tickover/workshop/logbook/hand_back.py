"""The sheet an engine goes home with: what was done and found, in words for its owner, on one page."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from django.utils.timezone import localdate

from tickover.language.amounts import day, hours, spread, units
from tickover.science.measurement.conformity import Decision
from tickover.workshop import papers
from tickover.workshop.defects import queries as defects
from tickover.workshop.drawings.measuring import span_in_words
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.logbook.step_papers import paragraphs, what_was_not
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.queries import DueLine
from tickover.workshop.visits.models import Release
from tickover.workshop.visits.queries import JobSheet, StepLine
from tickover.workshop.visits.releasing.as_signed import signer, workshop_of

TASKS_AHEAD = 5
POINTS = 6
FIRST_RUN = (
    "Before the first flight, run the engine on the ground, tied down and with the propeller clear: look for "
    "leaks, listen for anything unusual, and shut down if there is any (common practice, no source)."
)


def hand_back(sheet: JobSheet) -> bytes:
    """The hand-back sheet of a released job."""
    assert sheet.release is not None
    signed, engine = sheet.release, sheet.job.engine
    return papers.record_pdf(
        papers.RecordData(
            document_date=localdate(signed.at),
            workshop=workshop_of(sheet),
            kind="Hand-back",
            number=signed.number,
            serial=engine.serial,
            title=f"{engine.name} goes home",
            words=f"Dear {engine.owner.name}, what we did, what we found, and what comes next.",
            facts=(
                papers.Fact("Engine", f"{engine.name}, {sheet.sheet.title}, serial {engine.serial}"),
                papers.Fact(
                    "Engine time", f"{hours(signed.engine_h)} h (± {spread(2 * signed.engine_sd_h)} h)"
                ),
                papers.Fact(
                    "Released", f"{day(localdate(signed.at))} by {signer(signed)}, release {signed.number}"
                ),
            ),
            sections=_sections(sheet, signed),
            foot=(
                "For information only: the release and the work card are the record. Ask for them. "
                "± is two standard deviations."
            ),
            notice=sheet.sheet.notice,
        )
    )


def _sections(sheet: JobSheet, signed: Release) -> tuple[papers.Section, ...]:
    reckoned = max([localdate(signed.at), *(d for d, _, _ in _entries(sheet))])
    deferred = tuple(
        f"{w.defect.what}; until {w.limit} ({w.defect.number})" for w in defects.deferred_at(signed)
    )
    return (
        papers.Section("What was done", points=_done(sheet)),
        papers.Section(
            "What was found",
            points=(*_exceeded(signed), *_few(_found(sheet))),
            none_said="Nothing unusual.",
        ),
        papers.Section(
            "What was not done",
            points=(*paragraphs(signed.not_done), *_few(what_was_not(sheet))),
            none_said="Nothing.",
        ),
        papers.Section("What may wait, and until when", points=_few(deferred), none_said="None."),
        papers.Section("What is due and was not done", points=_due_now(signed), none_said="Nothing."),
        papers.Section(
            "What comes next",
            words=f"Dates from how the engine was flown up to {day(reckoned)}; they change as it flies.",
            columns=("Task", "By hours", "By date", "Likely"),
            widths=(1.6, 0.7, 0.8, 1.7),
            rows=tuple(_ahead(line) for line in _next(sheet, reckoned)),
        ),
        papers.Section("What to watch on the next flight", points=_watch(sheet, signed)),
    )


def _entries(sheet: JobSheet) -> list[tuple[date, float, float]]:
    engine = sheet.job.engine
    return engine_time.entries_by_engine([engine.pk])[engine.pk]


def _done(sheet: JobSheet) -> tuple[str, ...]:
    tasks = tuple(
        f"{t.task.title}: {units(t.card.for_owner or t.card.summary)}" for t in sheet.tasks if not t.repeats
    )
    fitted = ", ".join(f"{p.quantity} {p.part.title}" for p in sheet.use)
    return tasks + ((f"New parts fitted: {fitted}.",) if fitted else ())


def _due_now(signed: Release) -> tuple[str, ...]:
    """What the visit left, a point for each state; every overdue task is named, of the others as many as have room."""
    rows = signed.else_due
    points = [f"Not done this time: {r['task']} ({r['dropped']})" for r in rows if r["dropped"]]
    for state, most in (("overdue", len(rows)), ("due", POINTS)):
        titles = [r["task"] for r in rows if r["state"] == state and not r["dropped"]]
        more = f", and {len(titles) - most} more; see the release" if len(titles) > most else ""
        points += [f"{state.capitalize()}: {', '.join(titles[:most])}{more}."] if titles else []
    return tuple(points)


def _found(sheet: JobSheet) -> tuple[str, ...]:
    """Findings that asked for something, limits that were passed before the work, and remarks."""
    found = [
        f"{s.finding.title} ({s.step.act.rstrip('.')}). {units(s.finding.advice)}"
        for s in sheet.steps
        if s.finding and s.finding.action != "continue"
    ]
    outside = [_reading(s) for s in sheet.steps if s.as_found and _decided(s) is Decision.OUTSIDE]
    remarks = [s.remark for s in sheet.steps if s.remark]
    return tuple(found + outside + remarks)


def _exceeded(signed: Release) -> tuple[str, ...]:
    """Every one, however many: none of them is left to another paper."""
    return tuple(units(f"{e['said']} {e['answer']}") for e in signed.exceedances)


def _watch(sheet: JobSheet, signed: Release) -> tuple[str, ...]:
    """Limitations, readings that are not plainly inside, and what any first run asks for."""
    near = tuple(
        f"{_reading(s)} It is near its limit: let us know if anything changes."
        for s in sheet.steps
        if not s.as_found and _decided(s) is Decision.CANNOT_TELL
    )
    return (*(f"Limitation: {words}" for words in paragraphs(signed.limitations)), *_few(near), FIRST_RUN)


def _decided(line: StepLine) -> Decision | None:
    return line.reading.verdict.decision if line.reading else None


def _reading(line: StepLine) -> str:
    assert line.reading is not None and line.limit is not None
    shown = units(f"{line.reading.shown} {line.limit.unit}")
    when = f" {line.step.moment}" if line.step.moment else ""
    return f"{line.limit.title}{when}: {shown}, limit {units(span_in_words(line.limit))}."


def _next(sheet: JobSheet, reckoned: date) -> list[DueLine]:
    """The tasks that come first, without those on condition."""
    lines = programme.due_lines(sheet.job.engine, reckoned)
    return [line for line in lines if line.due.due_h is not None or line.due.due_day is not None][
        :TASKS_AHEAD
    ]


def _ahead(line: DueLine) -> tuple[str, ...]:
    by_hours = f"{hours(line.due.due_h)} h" if line.due.due_h is not None else "–"
    return line.task.title, by_hours, "–" if line.not_known else day(line.due_on), line.sentence


def _few(points: Iterable[str]) -> tuple[str, ...]:
    """So many as leave the sheet one page; what is left out stands on the work card, and is counted."""
    shown = tuple(points)
    if len(shown) <= POINTS:
        return shown
    return (*shown[: POINTS - 1], f"and {len(shown) - POINTS + 1} more; see the work card.")
