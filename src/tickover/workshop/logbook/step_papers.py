"""The lines of a paper that tell of single steps: what was read, found, confirmed, or not measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from tickover.language.amounts import day, units
from tickover.sheets import LimitRow
from tickover.workshop import papers
from tickover.workshop.drawings import where_to_measure
from tickover.workshop.drawings.measuring import span_in_words
from tickover.workshop.kernel.local_time import local_moment
from tickover.workshop.readings.input_fields import InputField
from tickover.workshop.readings.measuring import computation_of, fields_for
from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import Reading
from tickover.workshop.visits.steps.exceedances import Exceedance
from tickover.workshop.visits.steps.reading_line import ReadingLine
from tickover.workshop.visits.steps.step_line import StepLine, said
from tickover.workshop.visits.steps.torque_setting import wrench_in_words

AFTER_THE_SECOND = "taken; shown after the second reading"


def step(line: StepLine, exceedances: Sequence[Exceedance] = (), hold: str = "") -> papers.StepText:
    mark = line.mark if line.done else None
    return papers.StepText(
        number=str(line.number),
        act=line.step.act,
        how=units(" ".join(words for words in (line.condition, line.step.how) if words)),
        caution=units(line.step.caution),
        done_by=str(mark.by) if mark else "",
        done_at=moment(mark.at) if mark else "",
        readings=_with_exceedances(_readings(line), line, exceedances),
        finding=f"{line.finding.title} ({line.finding.action})" if line.finding else "",
        remark=" ".join(words for words in (_no_photo(line), line.remark) if words),
        critical=line.step.critical,
        second_check=second_check(line) or (papers.SecondCheckText() if line.step.second_check else None),
        ticks=()
        if line.done
        else tuple(units(f"{f.title}: {f.action}. {f.advice}") for f in line.step.findings),
        pictures=() if line.done else _measuring(line),
        hold=hold,
    )


def what_was_read(sheet: JobSheet) -> tuple[papers.ReadingText, ...]:
    """The reading of each step that counts, and those that were not taken."""
    return tuple(
        _reading(s.reading, s) if s.reading else _not_taken(s)
        for s in sheet.steps
        if s.reading or s.not_measured
    )


def what_was_not(sheet: JobSheet) -> tuple[str, ...]:
    """Readings that were not taken, each as a sentence."""
    return tuple(
        f"{s.limit.title} (step {s.number}): {said(s.not_measured)}."
        for s in sheet.steps
        if s.limit and s.not_measured
    )


def photos_left_out(sheet: JobSheet) -> tuple[str, ...]:
    """Photos that a step asked for and nobody took, each as a sentence."""
    return tuple(f"Step {s.number}: {words}" for s in sheet.steps if (words := _no_photo(s)))


def _no_photo(line: StepLine) -> str:
    """Why there is no photo of a step that asks for one, as a sentence; "" where there is nothing to say."""
    return f"No photo, because {line.no_photo.rstrip('.')}." if line.no_photo else ""


def _with_exceedances(
    readings: tuple[papers.ReadingText, ...], line: StepLine, exceedances: Sequence[Exceedance]
) -> tuple[papers.ReadingText, ...]:
    """The last reading of a step carries what went beyond at it, and what was done about that."""
    own = [e for e in exceedances if e.spot.place == line.step.id]
    if not own or not readings:
        return readings
    marks = tuple(units(f"{e.heading}. {e.said} {e.answered or 'Not answered.'}") for e in own)
    return (*readings[:-1], replace(readings[-1], marks=(*readings[-1].marks, *marks)))


def _readings(line: StepLine) -> tuple[papers.ReadingText, ...]:
    limit = line.limit
    if limit is None:
        return ()
    if line.kept_back:
        return (papers.ReadingText(_title(limit, line), AFTER_THE_SECOND, _span(limit), "", ""),)
    taken = tuple(_reading(r, line) for r in line.readings)
    if line.not_measured:
        return (*taken, _not_taken(line))
    if taken:
        return taken
    asks = tuple(units(f"{a.label} [{a.unit}]") for a in line.asks) if len(line.asks) > 1 else ()
    title = _title(limit, line)
    return (papers.ReadingText(title, "", _span(limit), "", units(limit.instrument), asks=asks),)


def _reading(r: ReadingLine, line: StepLine) -> papers.ReadingText:
    second = " (second person)" if r.reading.purpose == Reading.Purpose.SECOND_CHECK else ""
    acknowledged = f" {r.reading.by} acknowledged it." if r.reading.acknowledged else ""
    return papers.ReadingText(
        f"{_title(r.limit, line)}{second}",
        units(f"{'set to ' if r.reading.torque_set else ''}{r.shown} {r.reading.unit}"),
        _span(r.limit),
        r.decided,
        units(_instrument(r)),
        detail=units(" ".join(_detail(r))),
        marks=tuple(doubt + acknowledged * (doubt == r.uncalibrated) for doubt in r.doubts),
    )


def _not_taken(line: StepLine) -> papers.ReadingText:
    assert line.limit is not None and line.not_measured is not None
    why = f"Because {line.not_measured.reason.rstrip('.')}. Recorded by {line.not_measured.by}."
    return papers.ReadingText(_title(line.limit, line), "not measured", _span(line.limit), "", "", detail=why)


def _title(limit: LimitRow, line: StepLine) -> str:
    return f"{limit.title}, {line.step.moment}" if line.step.moment else limit.title


def _detail(r: ReadingLine) -> list[str]:
    """What the value was taken from, and of a torque that was set what is known of it."""
    known = r.measured.set_to is not None and not r.measured.set_to.why_not
    return [*_taken_from(r), *((r.sentence,) if known else ())]


def _taken_from(r: ReadingLine) -> list[str]:
    """The single numbers, and what they were typed in."""
    from_parts = computation_of(r.site) or any(not a.gauged for a, _ in _inputs(r))
    if r.in_both_units and not from_parts:
        return [f"Typed {r.in_both_units}.", *r.measured.not_valid, *r.measured.notes]
    if r.reading.inputs and from_parts:
        parts = (f"{a.label}: {v['value']:.6g} {a.unit}" for a, v in _inputs(r))
        typed = [f"Typed {r.in_both_units}."] if r.in_both_units else []
        return ["; ".join(parts) + ".", *typed, *r.measured.not_valid, *r.measured.notes]
    return [*r.measured.not_valid, *r.measured.notes]


def _inputs(r: ReadingLine) -> list[tuple[InputField, dict[str, Any]]]:
    asks = {a.name: a for a in fields_for(r.site)}
    return [(asks[v["name"]], v) for v in r.reading.inputs]


def _instrument(r: ReadingLine) -> str:
    """Named, with what it can tell and until when; else as the sheet names its kind."""
    gauge = r.gauge
    if gauge is None:
        return "wrench not recorded" if r.reading.torque_set else r.limit.instrument
    if r.reading.torque_set:
        return wrench_in_words(gauge)
    percent = f" and {gauge.percent:g} %" if gauge.percent else ""
    until = f", calibrated to {day(date.fromisoformat(gauge.due_on))}" if gauge.due_on else ""
    return f"{gauge.name}: U = {gauge.fixed:g} {gauge.unit}{percent} (k = 2){until}"


def before_after(sheet: JobSheet) -> tuple[papers.BeforeAfterText, ...]:
    return tuple(
        papers.BeforeAfterText(pair.title, _span(pair.limit), _stood(pair.found), _stood(pair.left))
        for pair in sheet.before_after
        if any(line and line.answered for line in (pair.found, pair.left))
    )


def _stood(line: StepLine | None) -> str:
    r = line.reading if line else None
    if line and line.kept_back:
        return AFTER_THE_SECOND
    if r is None:
        return "not measured" if line and line.not_measured else "not read"
    return units(f"{r.shown} {r.reading.unit}, {r.decided}")


def _span(limit: LimitRow) -> str:
    return units(span_in_words(limit))


def second_check(line: StepLine) -> papers.SecondCheckText | None:
    if line.check is None:
        return None
    return papers.SecondCheckText(
        f"Step {line.number}: {line.step.act}", str(line.check.by), moment(line.check.at), line.check.kind
    )


def _measuring(line: StepLine) -> tuple[papers.PaperPicture, ...]:
    """Where the reading of a step is taken."""
    limit = line.limit
    if limit is None or not limit.drawing or line.taken:
        return ()
    return (papers.PaperPicture(where_to_measure(limit), f"Where to measure: {limit.title}, {_span(limit)}"),)


def moment(at: datetime) -> str:
    return local_moment(at)


def paragraphs(text: str) -> tuple[str, ...]:
    """A text of several lines, each that says something."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())
