"""What a technician reads on a metering system: pop-off, reseat, fuel flow."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.science.core.input_checks import OutOfRangeError, checked_choice, checked_one
from tickover.science.core.kinds import checked_fields
from tickover.science.fuel_system.metering.flow import FlowPoint
from tickover.science.fuel_system.metering.lever_balance import METHODS, checked_height

__all__ = ["KINDS", "MeteringReading"]

KINDS = ("pop-off", "reseat", "fuel")


@dataclass(frozen=True)
class MeteringReading:
    """One reading: pop-off or reseat [Pa], or fuel at a throttle opening [L/h].

    Parameters
    ----------
    kind : str
        "pop-off", "reseat" or "fuel".
    value, standard_uncertainty : float
        Both above 0, in the unit of the kind.
    height_mm : float
        Lever above nominal when it was read. [mm]
    method : str
        Of a pop-off or reseat: "cover off" or "cover on".
    point : Point, optional
        Of a fuel reading: the throttle opening.

    Raises
    ------
    OutOfRangeError
        For values that cannot be, and for a fuel reading without a throttle opening.
    """

    kind: str
    value: float
    standard_uncertainty: float
    height_mm: float = 0.0
    method: str = "cover off"
    point: FlowPoint | None = None

    def __post_init__(self) -> None:
        checked_choice("kind of reading", self.kind, KINDS)
        checked_choice("method", self.method, METHODS)
        checked_height(self.height_mm)
        span = (0.05, 60.0, "L/h") if self.kind == "fuel" else (5_000.0, 500_000.0, "Pa")
        checked_one(self.kind, self.value, *span)
        hint = "a reading without an uncertainty cannot be weighed against the others"
        checked_one(f"uncertainty of {self.kind}", self.standard_uncertainty, 1e-6, span[1], span[2], hint)
        if self.kind == "fuel" and self.point is None:
            raise OutOfRangeError("a fuel reading needs the throttle opening at which it was taken")
        checked_fields(self)
