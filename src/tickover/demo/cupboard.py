"""The demo's measuring instruments: one ran out of calibration a few days ago, one soon will."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from tickover.formats.text import units
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.people.models import Person
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TypedReading
from tickover.workshop.readings.measuring import fields_for

YEAR_DAYS = 365
BENCH, DRAWER, CASE = "bench", "drawer 2", "field case"


@dataclass(frozen=True)
class DemoTool:
    """An instrument and its newest calibration: how long ago it was, and when the next is due. [d]"""

    new: NewInstrument
    days_ago: int
    due_after: int | None = YEAR_DAYS

    def holds(self, value: float) -> bool:
        """Whether a value in its unit lies in its range."""
        lower, upper = self.new.range_lower, self.new.range_upper
        return (lower is None or value >= lower) and (upper is None or value <= upper)


def _new(
    number: str, kind: str, title: str, unit: str, span: tuple[float | None, float], resolution: float,
    expanded_uncertainty: float, percent: float = 0.0, location: str = BENCH, tool_class: str = "",
) -> NewInstrument:  # fmt: skip
    serial = f"LB-{sum(map(ord, number)) * 37}"
    return NewInstrument(
        number,
        kind,
        title,
        unit,
        resolution,
        expanded_uncertainty,
        percent,
        *span,
        serial,
        location,
        tool_class,
    )


CUPBOARD = (
    DemoTool(_new("FG-1", "feeler", "Feeler blades, old set", "mm", (None, 1.0), 0.01, 0.012), 371, 360),
    DemoTool(_new("FG-2", "feeler", "Feeler blades", "mm", (None, 1.0), 0.01, 0.01, location=DRAWER), 120),
    DemoTool(_new("TW-1", "torque-wrench", "Torque wrench", "N.m", (5.0, 30.0), 0.2, 0.0, 4.0, tool_class="II A"), 351),
    DemoTool(
        _new("TW-2", "torque-wrench", "Torque screwdriver", "N.m", (0.5, 5.0), 0.05, 0.0, 5.0, tool_class="II D"),
        190,
    ),
    DemoTool(_new("DG-1", "depth-gauge", "Depth gauge", "mm", (None, 25.0), 0.02, 0.03, location=DRAWER), 205),
    DemoTool(_new("DI-1", "dial-gauge", "Dial gauge on a stand", "mm", (None, 10.0), 0.01, 0.01), 240),
    DemoTool(_new("PG-1", "pressure-gauge", "Low-pressure gauge with bulb", "bar", (None, 0.6), 0.01, 0.01), 143),
    DemoTool(_new("PG-2", "pressure-gauge", "Pop-off gauge with pump", "bar", (None, 2.5), 0.02, 0.04), 143),
    DemoTool(_new("CG-1", "compression-gauge", "Compression gauge", "bar", (None, 15.0), 0.2, 0.3), 98),
    DemoTool(_new("VG-1", "vacuum-gauge", "Vacuum gauge", "bar", (None, 1.0), 0.01, 0.01), 143),
    DemoTool(_new("RU-1", "rule", "Steel rule", "mm", (None, 300.0), 0.5, 0.3, location=DRAWER), 300, None),
    DemoTool(_new("WG-1", "wire-gauge", "Plug wire gauge", "mm", (0.4, 1.2), 0.05, 0.02), 300, None),
    DemoTool(
        _new("TA-1", "tachometer", "Inductive tachometer", "rpm", (300.0, 15000.0), 10.0, 20.0, location=CASE),
        160,
    ),
    DemoTool(
        _new("TC-1", "thermocouple", "Probes with readout", "deg C", (None, 900.0), 1.0, 4.0, location=CASE),
        160,
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Cupboard:
    """What of it may be named in a reading; everything is dated back from `now`.

    `kept_from`: since when the workshop has a register of instruments.
    """

    now: datetime
    kept_from: date

    def stock(self, keeper: Person, at: datetime) -> None:
        """Bring all of it into the register, with the certificates it came with."""
        for held in CUPBOARD:
            row = instruments.add_instrument(held.new, who=keeper, at=at)
            day = self._calibrated(held)
            new = NewCalibration(day, f"LB-CAL-{day:%y%m}-{held.new.number}", self._due(held))
            instruments.calibrate(row, new, who=keeper, at=at)

    def named(
        self, entry: TypedReading, site: MeasurementContext, value: float, on_day: date
    ) -> TypedReading:
        """The entry with the instrument it is read from: the one of least span that is in calibration."""
        if on_day < self.kept_from:
            return entry
        found = min(self._fitting(site, value, on_day), key=_span, default=None)
        return replace(entry, instrument=found.new.number) if found else entry

    def _fitting(self, site: MeasurementContext, value: float, on_day: date) -> Iterator[DemoTool]:
        unit = next((a.unit for a in fields_for(site) if a.gauged), site.limit.unit)
        for held in CUPBOARD:
            due = self._due(held)
            if held.new.kind == site.limit.instrument_kind and (due is None or due >= on_day):
                reads = units.convertible(held.new.unit, unit)
                if reads and (unit != site.limit.unit or held.holds(value)):
                    yield held

    def _calibrated(self, held: DemoTool) -> date:
        return (self.now - timedelta(days=held.days_ago)).date()

    def _due(self, held: DemoTool) -> date | None:
        days = held.due_after
        return None if days is None else self._calibrated(held) + timedelta(days=days)


def _span(held: DemoTool) -> float:
    return (held.new.range_upper or 0.0) - (held.new.range_lower or 0.0)
