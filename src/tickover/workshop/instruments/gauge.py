"""An instrument as it stood when something was read with it: what a reading keeps, and all it is judged by."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from tickover.formats.text import units
from tickover.science.fasteners.set_torque import INDICATING, permissible_deviation


@dataclass(frozen=True)
class Gauge:
    """What one instrument can tell, in `unit`; `fixed` and `percent` make up its expanded uncertainty (k = 2).

    `calibrated`: whether a calibration was noted; `due_on`: the day it ran to, "" for no end.
    `tool_class`: of a torque tool by ISO 6789, "" where it is not known.
    """

    number: str
    title: str
    unit: str
    resolution: float
    fixed: float
    percent: float
    lower: float | None
    upper: float | None
    calibrated: bool
    due_on: str
    certificate: str
    tool_class: str = ""

    @classmethod
    def kept(cls, facts: dict[str, Any]) -> Gauge | None:
        """The gauge a reading was kept with; None where none was named."""
        return cls(**facts) if facts else None

    def facts(self) -> dict[str, Any]:
        """Everything, as it is kept beside a reading."""
        return asdict(self)

    @property
    def name(self) -> str:
        return f"{self.title}, {self.number}"

    @property
    def indicates(self) -> bool:
        """Whether it is a torque tool that is read, not one that is set."""
        return self.tool_class in INDICATING

    def deviation(self) -> float | None:
        """Permissible deviation of a torque tool, as a share; None where its class or its range is not known."""
        if not self.tool_class or self.upper is None or not units.convertible(self.unit, "N.m"):
            return None
        return permissible_deviation(self.tool_class, units.convert(self.upper, self.unit, "N.m"))

    def expanded_at(self, value: float, unit: str) -> float:
        """Expanded uncertainty (k = 2) where it reads this, both in `unit`."""
        read = units.convert(value, unit, self.unit)
        return units.convert_width(self.fixed + self.percent / 100.0 * abs(read), self.unit, unit)

    def step(self, unit: str) -> float:
        """Its resolution in another unit."""
        return units.convert_width(self.resolution, self.unit, unit)

    def uncalibrated(self, on_day: date) -> str:
        """What is wrong with its calibration on that day, as a sentence; "" if nothing is."""
        if not self.calibrated:
            return f"{self.name}: no calibration recorded."
        if self.due_on and self.due_on < on_day.isoformat():
            ended = date.fromisoformat(self.due_on)
            return f"{self.name}: out of calibration, which ran out on {ended.day} {ended:%b %Y}."
        return ""

    def out_of_range(self, value: float, unit: str) -> str:
        """That it cannot read so much or so little, as a sentence; "" where it can."""
        read = units.settled(units.convert(value, unit, self.unit), self.lower, self.upper)
        if self.lower is not None and read < self.lower:
            return f"{self.name}: {read:.6g} {self.unit} is below its range, which begins at {self.lower:g}."
        if self.upper is not None and read > self.upper:
            return f"{self.name}: {read:.6g} {self.unit} is above its range, which ends at {self.upper:g}."
        return ""
