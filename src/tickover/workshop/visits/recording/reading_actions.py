"""Writes that take a reading: the step's own, and that of the second person who confirms it."""

from __future__ import annotations

from datetime import datetime

from django.utils.timezone import localdate

from tickover.science.measurement.conformity import Decision
from tickover.workshop.instruments import queries as instruments
from tickover.workshop.instruments.models import Instrument
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TYPED, TypedReading
from tickover.workshop.readings.judging import ParsedField, judge, parse
from tickover.workshop.readings.measuring import fields_for
from tickover.workshop.visits import hold_points, queries, second_checks
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job, open_again
from tickover.workshop.visits.models import Job, NotMeasured, Reading, SecondCheck
from tickover.workshop.visits.steps.torque_setting import as_set


class DoubtfulInstrumentError(VisitError):
    """A critical step read with an instrument out of calibration, which nobody has acknowledged yet."""


@journal.locked()
def take_reading(
    job: Job, step_id: str, typed: str | TypedReading, *, who: Person, at: datetime, confirmed: bool = False
) -> Reading:
    """Take and judge a step's reading. Raises NumberError or ImplausibleNumber; then nothing is kept."""
    sheet = lock_open_job(job)
    entry = typed if isinstance(typed, TypedReading) else TypedReading.of(typed, confirmed=confirmed)
    line = sheet.step(step_id)
    if line.site and not line.done:
        hold_points.refuse_where_held(sheet, line)
    return _read(line, job, entry, Reading.Purpose.STEP, who, at)


@journal.locked()
def leave_unmeasured(job: Job, step_id: str, reason: str, *, who: Person, at: datetime) -> NotMeasured:
    """Note that a step's reading is not taken, and why. A critical step keeps the engine from release then."""
    sheet = lock_open_job(job)
    line = sheet.step(step_id)
    if line.limit is None:
        raise VisitError(f"Step {line.number} takes no reading. Nothing was saved.")
    if line.done or line.answered:
        sentence = "is done" if line.done else "has its answer"
        raise VisitError(f"Step {line.number} {sentence} already. Nothing was saved.")
    hold_points.refuse_where_held(sheet, line)
    if not reason.strip():
        raise VisitError("Type why it is not measured. Nothing was saved.")
    row = NotMeasured(
        job=job, step_id=line.step.id, limit_id=line.limit.id, reason=reason.strip()[:300], by=who, at=at
    )
    journal.record(row, "reading not taken", f"job/{job.number}", actor=who.username, at=at)
    return row


@journal.locked()
def second_check(
    job: Job,
    step_id: str,
    *,
    who: Person,
    at: datetime,
    typed: str | TypedReading = "",
    confirmed: bool = False,
) -> SecondCheck | None:
    """Confirm a critical step. Where it was read, the second person reads the gauge too.

    Returns None where that second reading is not inside: the step is then open again. A reading as found is
    confirmed whatever it says, unless its test is not valid.
    """
    sheet = lock_open_job(job)
    line = sheet.step(step_id)
    if not line.awaits_second_check or line.mark is None:
        raise VisitError(f"Step {line.number} has no second check open. Nothing was changed.")
    kind = second_checks.kind_of(line, who, at)
    hold_points.refuse_where_held(sheet, line)
    if line.limit and not line.not_measured:
        entry = typed if isinstance(typed, TypedReading) else TypedReading.of(typed, confirmed=confirmed)
        second = _read(line, job, entry, Reading.Purpose.SECOND_CHECK, who, at)
        if second.decision == Decision.NOT_VALID or (
            second.decision != Decision.INSIDE and not line.as_found
        ):
            reason = f"second check read {second.value:g} {second.unit}: {second.decision}"
            open_again(job, line.step.id, reason, who, at)
            return None
    check = SecondCheck(mark=line.mark, kind=kind, by=who, at=at)
    journal.record(check, "second check", f"job/{job.number}", actor=who.username, at=at, step=line.step.id)
    return check


def _read(
    line: queries.StepLine, job: Job, entry: TypedReading, purpose: str, who: Person, at: datetime
) -> Reading:
    if line.site is None:
        raise VisitError(f"Step {line.number} takes no reading. Nothing was saved.")
    if line.done and purpose == Reading.Purpose.STEP:
        raise VisitError(f"Step {line.number} is done. Open it again to take another reading.")
    limit = line.site.limit
    if limit.makers_figure:
        raise VisitError("Maker's figure needed: enter it in the type sheet. Nothing was kept.")
    instrument, gauge = _instrument(entry, line, at)
    taken = parse(entry, line.site, gauge)
    measured = judge(taken, line.site, gauge, confirmed=entry.confirmed)
    alone = len(taken) == 1 and taken[0].name == TYPED
    is_set = line.sets_torque and not (gauge and gauge.indicates)
    if is_set:
        measured = as_set(measured, limit, line.never, {t.name: t.value for t in taken}, gauge, localdate(at))
    row = Reading(
        job=job,
        step_id=line.step.id,
        limit_id=limit.id,
        purpose=purpose,
        typed="; ".join(t.typed for t in taken)[:400],
        typed_unit=_unit(taken, line.site),
        inputs=[] if alone else [t.facts() for t in taken],
        value=measured.value,
        unit=limit.unit,
        decision=str(measured.decision),
        probability_inside=None if is_set else measured.verdict.probability_inside,
        standard_uncertainty=measured.verdict.standard_uncertainty,
        instrument=instrument,
        gauge=gauge.facts() if gauge else {},
        torque_set=is_set,
        acknowledged=bool(entry.acknowledged and gauge and gauge.uncalibrated(localdate(at))),
        by=who,
        at=at,
    )
    journal.record(row, "reading taken", f"job/{job.number}", actor=who.username, at=at)
    return row


def _instrument(
    entry: TypedReading, line: queries.StepLine, at: datetime
) -> tuple[Instrument | None, Gauge | None]:
    """The instrument that was named, as it stands now; none where none is named."""
    if not entry.instrument:
        return None, None
    assert line.site is not None
    kind = line.site.limit.instrument_kind
    found = instruments.gauge_of(entry.instrument)
    if found is None:
        raise VisitError(f"No instrument {entry.instrument} is in use. Choose another. Nothing was saved.")
    instrument, gauge = found
    unit = _gauged_unit(line.site)
    if instrument.kind != kind or not instruments.reads(instrument, unit):
        raise VisitError(
            f"{instrument} is a {instrument.kind_in_words} and reads {instrument.unit}; step {line.number} is "
            f"read with a {(kind or 'tool of its own').replace('-', ' ')} in {unit}. Nothing was saved."
        )
    if line.step.critical and gauge.uncalibrated(localdate(at)) and not entry.acknowledged:
        raise DoubtfulInstrumentError(
            f"{gauge.uncalibrated(localdate(at))} Step {line.number} is critical. Use another "
            "instrument, or tick the box: the reading stays marked."
        )
    return instrument, gauge


def _gauged_unit(site: MeasurementContext) -> str:
    """The unit that the instrument of this reading shows."""
    return next((a.unit for a in fields_for(site) if a.gauged), site.limit.unit)


def _unit(taken: tuple[ParsedField, ...], site: MeasurementContext) -> str:
    """The unit chosen for the numbers that may be typed in another than the sheet's."""
    asked = {a.name: a.unit for a in fields_for(site)}
    own = [t.unit for t in taken if asked[t.name] == site.limit.unit]
    return own[0] if own else site.limit.unit
