"""Writes of engine meters: a reading, and a meter that is replaced by another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from tickover.science.engine_time.reconciling import METER
from tickover.workshop.engine_time import reconciling
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.local_time import local_moment
from tickover.workshop.people.models import Person
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.locking import lock_engine
from tickover.workshop.register.models import (
    FIRST_READING,
    METERED,
    Engine,
    EngineTimeEntry,
    MeterReading,
)

RESOLUTION_H = 0.1
MOST_H = 100_000.0


class LowerReadingError(RegisterError):
    """A meter reads lower than before: it is entered only when it is confirmed."""


@dataclass(frozen=True)
class TypedMeterReading:
    """What a meter shows, and when it was read."""

    value_h: float
    read_at: datetime
    meter: str = "engine meter"
    remark: str = ""


@journal.locked()
def read_meter(
    engine: Engine, reading: TypedMeterReading, *, who: Person, at: datetime, confirmed: bool = False
) -> MeterReading:
    """Enter a meter reading; what the meter counted since the last one is added, less what stands already.

    Raises LowerReadingError where the meter reads lower than before and that was not confirmed.
    """
    lock_engine(engine.pk)
    for there in reconciling.equal_readings(engine, reading.meter, reading.read_at, reading.value_h):
        day = timezone.localtime(there.read_at).date()
        ask_again_of(f"{there.value_h:g} h on the meter", day, there.entry.entered_by)
    return _read(engine, reading, who, at, confirmed=confirmed)


def _read(
    engine: Engine, reading: TypedMeterReading, who: Person, at: datetime, *, confirmed: bool
) -> MeterReading:
    _refuse_what_cannot_be(reading, at)
    before = last_reading(engine)
    if before is None:
        return _enter(engine, reading, None, 0.0, who, at)
    if before.meter != reading.meter:
        raise RegisterError(
            f"{engine.name} has the meter “{before.meter}”. Enter “{reading.meter}” as its replacement, "
            "with what both show. Nothing was entered."
        )
    _refuse_a_jump(before, reading)
    if reading.value_h < before.value_h and not confirmed:
        raise LowerReadingError(
            f"The meter showed {before.value_h:g} h on {_on(before.read_at)}, and {reading.value_h:g} h is "
            "lower. Nothing was entered. If it does read so, confirm it: it then adds nothing, and the "
            "count goes on from there."
        )
    return _enter(engine, reading, before, before.offset_h, who, at)


@journal.locked()
def replace_meter(
    engine: Engine,
    old_last_h: float,
    new: TypedMeterReading,
    *,
    who: Person,
    at: datetime,
    confirmed: bool = False,
) -> MeterReading:
    """Replace the engine's meter: the old one's last reading goes on as the new one's first."""
    lock_engine(engine.pk)
    before = last_reading(engine)
    if before is None:
        raise RegisterError(f"{engine.name} has no meter yet: enter the first reading. Nothing was entered.")
    if not new.meter.strip() or new.meter == before.meter:
        raise RegisterError("Give the new meter a name or number of its own. Nothing was entered.")
    _refuse_what_cannot_be(new, at)
    old = TypedMeterReading(old_last_h, new.read_at, before.meter, "last reading of this meter")
    last = _read(engine, old, who, at, confirmed=confirmed)
    return _enter(engine, new, last, last.metered_h - new.value_h, who, at)


def last_reading(engine: Engine) -> MeterReading | None:
    """The newest reading that counts."""
    readings = reconciling.counted_readings(engine)
    return readings[-1] if readings else None


def _enter(
    engine: Engine,
    reading: TypedMeterReading,
    before: MeterReading | None,
    offset_h: float,
    who: Person,
    at: datetime,
) -> MeterReading:
    row = MeterReading(
        engine=engine,
        meter=reading.meter,
        read_at=reading.read_at,
        value_h=reading.value_h,
        offset_h=offset_h,
        lower=before is not None and reading.value_h + offset_h < before.metered_h - 1e-9,
        remark=reading.remark.strip()[:200],
    )
    row.entry = _entry(row, before, who, at)
    journal.record(row, "meter read", f"engine/{engine.serial}", actor=who.username, at=at)
    return row


def _entry(row: MeterReading, before: MeterReading | None, who: Person, at: datetime) -> EngineTimeEntry:
    count = reconciling.meter_count(before, row)
    goes_on = before is not None and before.meter == row.meter
    entry = EngineTimeEntry(
        engine=row.engine,
        on_day=timezone.localtime(row.read_at).date(),
        started_at=count.started_at,
        ended_at=row.read_at,
        duration_h=count.duration_h,
        sd_h=count.sd_h,
        grade=METER,
        method=METERED if goes_on else FIRST_READING,
        remarks=[f"“{row.meter}” shows {row.value_h:g} h.", count.remark],
        entered_by=str(who),
    )
    subject = f"engine/{row.engine.serial}"
    journal.record(entry, "engine time added", subject, actor=who.username, at=at)
    return entry


def _refuse_what_cannot_be(reading: TypedMeterReading, at: datetime) -> None:
    if not math.isfinite(reading.value_h) or not 0.0 <= reading.value_h <= MOST_H:
        raise RegisterError(f"{reading.value_h:g} h cannot be on an engine meter. Nothing was entered.")
    if reading.read_at > at:
        raise RegisterError(f"{_on(reading.read_at)} is still to come. Nothing was entered.")
    if not reading.meter.strip():
        raise RegisterError("Name the meter, or give its number. Nothing was entered.")


def _refuse_a_jump(before: MeterReading, reading: TypedMeterReading) -> None:
    if reading.read_at < before.read_at:
        raise RegisterError(
            f"The last reading was taken on {_on(before.read_at)}; this one is older. "
            "Withdraw the later one first, or type the real time of reading. Nothing was entered."
        )
    passed_h = (reading.read_at - before.read_at).total_seconds() / 3600.0
    counted_h = reading.value_h - before.value_h
    if counted_h > passed_h + RESOLUTION_H:
        raise RegisterError(
            f"From {before.value_h:g} h to {reading.value_h:g} h is {counted_h:.1f} h, but only "
            f"{passed_h:.1f} h have passed since {_on(before.read_at)}: more than 24 h a day. "
            "Read the meter again. Nothing was entered."
        )


def _on(moment: datetime) -> str:
    return local_moment(moment)
