"""Writes of the instrument register: add one, note its calibration, withdraw it, take it back, move it."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.science.fasteners.set_torque import CLASSES
from tickover.workshop.instruments import queries
from tickover.workshop.instruments.models import KINDS, Calibration, Instrument, InstrumentLocation
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person

NUMBER_MAX = 20


class InstrumentError(RefusedError):
    """The register refuses; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class NewInstrument:
    """What is known of an instrument that comes into the register; see models.Instrument."""

    number: str
    kind: str
    title: str
    unit: str
    resolution: float
    expanded_uncertainty: float
    percent: float = 0.0
    range_lower: float | None = None
    range_upper: float | None = None
    serial: str = ""
    location: str = ""
    tool_class: str = ""


@dataclass(frozen=True)
class NewCalibration:
    """What a certificate says; without an uncertainty or a class of its own, what was stated before goes on."""

    on_day: date
    certificate: str
    due_on: date | None = None
    expanded_uncertainty: float | None = None
    percent: float | None = None
    remark: str = ""
    tool_class: str = ""


@journal.locked()
def add_instrument(new: NewInstrument, *, who: Person, at: datetime) -> Instrument:
    """Add an instrument under the workshop's own number for it."""
    _may_be_added(new)
    row = Instrument(**asdict(new), by=who, at=at)
    journal.record(row, "instrument added", _subject(row), actor=who.username, at=at)
    return row


@journal.locked()
def calibrate(instrument: Instrument, new: NewCalibration, *, who: Person, at: datetime) -> Calibration:
    """Note a calibration. The newest one noted counts from now on; readings taken before keep theirs."""
    if not new.certificate.strip():
        raise InstrumentError("Give the number of the certificate, or who compared it. Nothing was saved.")
    if new.on_day > localdate(at):
        raise InstrumentError(f"{new.on_day} is in the future: record a calibration when it is done.")
    if new.due_on is not None and new.due_on <= new.on_day:
        raise InstrumentError(f"Due on {new.due_on} is not after {new.on_day}. Nothing was saved.")
    certificate = new.certificate.strip()[:80]
    same = Calibration.objects.filter(instrument=instrument, on_day=new.on_day, certificate=certificate)
    if earlier := same.first():
        ask_again_of(f"certificate {certificate}", new.on_day, earlier.by)
    before = queries.line_of(instrument).stated
    row = Calibration(
        instrument=instrument,
        on_day=new.on_day,
        due_on=new.due_on,
        certificate=certificate,
        expanded_uncertainty=_or(new.expanded_uncertainty, before.expanded_uncertainty),
        percent=_or(new.percent, before.percent),
        tool_class=new.tool_class or before.tool_class,
        remark=new.remark.strip()[:200],
        by=who,
        at=at,
    )
    _not_negative(row.expanded_uncertainty, "The expanded uncertainty")
    _not_negative(row.percent, "The percent of reading")
    _of_a_torque_tool(instrument.kind, new.tool_class)
    journal.record(row, "instrument calibrated", _subject(instrument), actor=who.username, at=at)
    return row


@journal.locked()
def withdraw(instrument: Instrument, reason: str, *, who: Person, at: datetime) -> InstrumentLocation:
    """Take an instrument out of use: it is offered for no reading any more."""
    line = queries.line_of(instrument)
    if line.withdrawn:
        raise InstrumentError(f"{instrument} is withdrawn already. Nothing was changed.")
    if not reason.strip():
        raise InstrumentError("Type why it is withdrawn. Nothing was changed.")
    return _place(line, InstrumentLocation.State.WITHDRAWN, line.location, reason, who, at)


@journal.locked()
def take_back(instrument: Instrument, reason: str, *, who: Person, at: datetime) -> InstrumentLocation:
    """Take a withdrawn instrument into use again."""
    line = queries.line_of(instrument)
    if not line.withdrawn:
        raise InstrumentError(f"{instrument} is in use. Nothing was changed.")
    return _place(line, InstrumentLocation.State.IN_USE, line.location, reason, who, at)


@journal.locked()
def move(instrument: Instrument, location: str, *, who: Person, at: datetime) -> InstrumentLocation:
    """Note another place where the instrument is kept."""
    line = queries.line_of(instrument)
    if not location.strip():
        raise InstrumentError("Type where it is now. Nothing was changed.")
    state = line.placed.state if line.placed else InstrumentLocation.State.IN_USE
    return _place(line, state, location, "", who, at)


def _place(
    line: queries.InstrumentLine, state: str, location: str, reason: str, who: Person, at: datetime
) -> InstrumentLocation:
    row = InstrumentLocation(
        instrument=line.instrument,
        state=state,
        location=location.strip()[:80],
        reason=reason.strip()[:200],
        by=who,
        at=at,
    )
    kind = (
        "instrument moved"
        if not reason and state == InstrumentLocation.State.IN_USE
        else f"instrument {state}"
    )
    journal.record(row, kind, _subject(line.instrument), actor=who.username, at=at)
    return row


def _may_be_added(new: NewInstrument) -> None:
    if not new.number or len(new.number) > NUMBER_MAX or "/" in new.number:
        raise InstrumentError(
            f"Its number must have 1 to {NUMBER_MAX} characters and no slash, as it is written on the "
            "instrument. Nothing was added."
        )
    if held := queries.instrument_by_number(new.number):
        raise InstrumentError(f"Number {new.number} belongs to {held.title} already. Nothing was added.")
    if new.kind not in KINDS:
        raise InstrumentError(f'"{new.kind}" is no kind of instrument: {", ".join(KINDS)}.')
    if not (0.0 < new.resolution < math.inf):
        raise InstrumentError(f"The resolution must be above 0, not {new.resolution:g}. Nothing was added.")
    _not_negative(new.expanded_uncertainty, "The expanded uncertainty")
    _not_negative(new.percent, "The percent of reading")
    _of_a_torque_tool(new.kind, new.tool_class)
    lower, upper = new.range_lower, new.range_upper
    if lower is not None and upper is not None and lower >= upper:
        raise InstrumentError(f"Its range must run upwards, not from {lower:g} to {upper:g}.")


def _not_negative(value: float, name: str) -> None:
    if not (0.0 <= value < math.inf):
        raise InstrumentError(f"{name} must be 0 or more, not {value:g}. Nothing was changed.")


def _of_a_torque_tool(kind: str, tool_class: str) -> None:
    if not tool_class:
        return
    if kind != "torque-wrench":
        raise InstrumentError(
            "Only a torque tool has a class by ISO 6789. Leave it empty. Nothing was changed."
        )
    if tool_class not in CLASSES:
        raise InstrumentError(f"“{tool_class}” is no class of ISO 6789. Choose one. Nothing was changed.")


def _or(value: float | None, before: float) -> float:
    return before if value is None else value


def _subject(instrument: Instrument) -> str:
    return f"instrument/{instrument.number}"
