"""Hours that no recorder measured: how sure they are by what they rest on.

The relative standard deviations are from memory, and are to be typed over by who knows better.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tickover.workshop.engine_time.actions import TypedHours
from tickover.workshop.register.actions import RegisterError

LEAST_SD_H = 0.05
RELATIVE_SD = {"log entry": 0.02, "owner's word": 0.15, "estimate": 0.3}
# Within a quarter, as two standard deviations: how hard an engine is worked moves its consumption so far.
FUEL_RELATIVE_SD = 0.125


@dataclass(frozen=True)
class FuelReceipt:
    """What was burnt, by the receipts [l], and what the engine burns in an hour [l/h]."""

    litres: float
    litres_per_hour: float


def usual_sd_h(hours_h: float, grade: str) -> float:
    """Standard deviation of hours of a grade, where nobody says better. [h]"""
    return LEAST_SD_H + RELATIVE_SD[grade] * hours_h


def by_fuel(fuel: FuelReceipt, on_day: date) -> TypedHours:
    """Engine time by fuel receipts, ± 25 % as two standard deviations. Raises RegisterError."""
    if not (0.0 < fuel.litres < 100_000.0 and 0.5 <= fuel.litres_per_hour <= 200.0):
        raise RegisterError(
            f"{fuel.litres:g} l at {fuel.litres_per_hour:g} l/h gives no engine time: litres must be above "
            "0, litres per hour from 0.5 to 200. Nothing was entered."
        )
    hours_h = fuel.litres / fuel.litres_per_hour
    method = f"fuel receipts: {fuel.litres:g} l at {fuel.litres_per_hour:g} l/h"
    return TypedHours(hours_h, FUEL_RELATIVE_SD * hours_h, on_day, "estimate", method[:60])
