"""The needles were right on another day: how far off is the mixture in today's air with today's fuel?

Notes
-----
The engine pumps a volume. What the venturi weighs out of it goes with the density of the fuel under the root,
what there is to burn with goes with the dry air in the volume, so that

    φ ∝ A/F · fuel share · √ρ_fuel · A_needle / (dry share · √ρ_air).

That is the root law. The full equation adds the expansion of the air in the throat and the head that the
suction has to overcome first; the difference between the two is taken as part of the uncertainty.
How warm the fuel is nobody measures: it is counted as equally warm both times, and how much denser fuel as cold
as the air would be is part of the uncertainty too.

References
----------
The root law follows from flow through an orifice, as in ISO 5167-1:2003 (from memory). Shares of the uncertainty are
judgements, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.moist_air import moist_air
from tickover.science.core.input_checks import checked
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.carburettor import jet_flow_kg_s
from tickover.science.fuel_system.fuels import Premix
from tickover.science.fuel_system.mixture_setting import (
    PRESSURES_PA,
    TEMPERATURES_K,
    AirOfTheDay,
    Setting,
    Venturi,
)
from tickover.science.fuel_system.venturi import throat_depression_pa, venturi_flow_kg_s
from tickover.science.measurement.propagation import Propagated, Unsure, propagate

__all__ = ["MixtureChange", "equivalence_ratio", "mixture_change"]

Array = NDArray[np.float64]

DENSITY_RATIOS = (0.65, 1.35)
COVERAGE = 2.0
"""Standard uncertainties to each side: about 95 %."""
MODEL_UNSURE = 0.15
"""Share of the change by which the elementary carburettor may be wrong: a judgement, no source."""
BLEND_UNSURE = 0.005
"""Fuels of one name differ by this in the air they want: a judgement, no source."""


@dataclass(frozen=True)
class MixtureChange:
    """How much richer (above 0) or leaner (below 0) the engine runs with the needles left alone. [%]

    `lower_percent` to `upper_percent` holds the truth in about 95 cases of 100. `full_percent` is by the full
    equation. The parts make up `percent` when multiplied: of the air, and of what is in the tank.
    `readings_percent` is what the readings of both airs leave open, a standard uncertainty.
    """

    then: Setting
    air: AirOfTheDay
    premix: Premix
    percent: float
    full_percent: float
    lower_percent: float
    upper_percent: float
    air_percent: float
    tank_percent: float
    readings_percent: float
    density_then_kg_m3: float
    density_now_kg_m3: float

    @property
    def ratio(self) -> float:
        """Equivalence ratio now to then. [-]"""
        return 1.0 + self.percent / 100.0

    def working(self) -> Working:
        """How the change came about."""
        return Working(
            title="change of the mixture since it was set",
            formula="φ/φ0 = (S/S0) · (dry0/dry) · √(ρ0/ρ), S = A/F · fuel share · √ρ_fuel",
            inputs=(
                *_readings("then", self.then.air),
                *_readings("now", self.air),
                Quantity("air density then ρ0", self.density_then_kg_m3, "kg/m3"),
                Quantity("air density now ρ", self.density_now_kg_m3, "kg/m3"),
                Quantity("left open by these readings, standard uncertainty", self.readings_percent, "%"),
                Quantity("change by the air", self.air_percent, "%"),
                Quantity("change by fuel and oil", self.tank_percent, "%"),
                Quantity("by the full equation", self.full_percent, "%"),
                Quantity("at least", self.lower_percent, "%"),
                Quantity("at most", self.upper_percent, "%"),
            ),
            result=Quantity("richer (above 0) or leaner (below 0)", self.percent, "%"),
            validity="same engine, propeller, carburettor and filter as when it was set; no leak, no dirt; "
            "−20 to 45 °C, 600 hPa and up; the interval is about 95 %",
            source="elementary carburettor, Heywood (1988), 7.3; CIPM-2007; ASTM D1250",
            authority="physics; the size of its uncertainty is a judgement",
        )


@kinds_checked
def equivalence_ratio(
    then: Setting,
    premix: Premix,
    temperature_k: ArrayLike,
    pressure_pa: ArrayLike,
    humidity: ArrayLike,
) -> Array:
    """Equivalence ratio to that of the setting by the root law, for many airs at once. [-]

    Parameters
    ----------
    then : Setting
    premix : Premix
        What is in the tank now.
    temperature_k, pressure_pa, humidity : array_like
        The air, 253.15 to 318.15 K, 60,000 to 108,000 Pa, 0 to 1. [K], [Pa], [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, or when the air is farther from that of the setting than 0.65 to 1.35 times.

    Examples
    --------
    >>> from tickover.science.fuel_system.fuels import E5
    >>> then = Setting(1.25, AirOfTheDay(288.15, 101_325.0, 0.5), Premix(E5, 50.0))
    >>> print(f"{equivalence_ratio(then, then.premix, 303.15, 98e3, 0.6):.3f}")
    1.058
    """
    kelvin = checked("air temperature", temperature_k, *TEMPERATURES_K, "K")
    pascal = checked("air pressure", pressure_pa, *PRESSURES_PA, "Pa")
    now = moist_air(kelvin, pascal, humidity)
    before = moist_air(then.air.temperature_k, then.air.pressure_pa, then.air.humidity)
    _near_enough(now.density_kg_m3 / before.density_kg_m3)
    strength = premix.strength() / then.premix.strength()
    roots = np.sqrt(before.density_kg_m3 / now.density_kg_m3)
    return one_or_many(strength * roots * before.dry_share / now.dry_share)


@kinds_checked
def mixture_change(
    then: Setting, air: AirOfTheDay, premix: Premix, venturi: Venturi | None = None
) -> MixtureChange:
    """How far the mixture moved since a good setting, with the needles left alone.

    Parameters
    ----------
    then : Setting
        The last good setting.
    air : AirOfTheDay
        Now.
    premix : Premix
        In the tank now.
    venturi : Venturi, optional
        For the full equation; illustrative figures without it.

    Returns
    -------
    MixtureChange

    Raises
    ------
    OutOfRangeError
        When the air is farther from that of the setting than the sums hold.

    Examples
    --------
    >>> from tickover.science.fuel_system.fuels import E5
    >>> then = Setting(1.25, AirOfTheDay(288.15, 101_325.0, 0.5), Premix(E5, 50.0))
    >>> found = mixture_change(then, AirOfTheDay(303.15, 98e3, 0.6), then.premix)
    >>> print(f"{found.percent:+.1f} %, likely {found.lower_percent:+.1f} to {found.upper_percent:+.1f} %")
    +5.8 %, likely +3.4 to +8.3 %
    """
    by_air = float(_of(then, then.premix, air))
    total = float(_of(then, premix, air))
    full = _full(then, air, premix, venturi or Venturi())
    cooled = premix.strength(air.temperature_k) / premix.strength(then.air.temperature_k)
    by_readings = _propagated(then, air, premix).standard_uncertainty
    spread = math.hypot(
        by_readings,
        MODEL_UNSURE * abs(math.log(total)),
        0.0 if premix.fuel == then.premix.fuel else math.sqrt(2.0) * BLEND_UNSURE,
        # the truth lies anywhere between the two equations and as far again beyond
        abs(math.log(full / total)) / math.sqrt(3.0),
        abs(math.log(float(cooled))) / math.sqrt(3.0),
    )
    before = moist_air(then.air.temperature_k, then.air.pressure_pa, then.air.humidity)
    now = moist_air(air.temperature_k, air.pressure_pa, air.humidity)
    return MixtureChange(
        then,
        air,
        premix,
        percent=_percent(total),
        full_percent=_percent(full),
        lower_percent=_percent(total * math.exp(-COVERAGE * spread)),
        upper_percent=_percent(total * math.exp(COVERAGE * spread)),
        air_percent=_percent(by_air),
        tank_percent=_percent(total / by_air),
        readings_percent=100.0 * by_readings,
        density_then_kg_m3=float(before.density_kg_m3),
        density_now_kg_m3=float(now.density_kg_m3),
    )


def _readings(day: str, air: AirOfTheDay) -> tuple[Quantity, ...]:
    """What was read of a day's air, each with its standard uncertainty."""
    return (
        Quantity(f"temperature {day}", air.temperature_k, "K", f"± {air.u_temperature_k:.3g} K standard"),
        Quantity(f"pressure {day}", air.pressure_pa, "Pa", f"± {air.u_pressure_pa:.3g} Pa standard"),
        Quantity(f"humidity {day}", air.humidity, "", f"± {air.u_humidity:.3g} standard"),
    )


def _percent(ratio: float) -> float:
    return 100.0 * (ratio - 1.0)


def _of(then: Setting, premix: Premix, air: AirOfTheDay) -> Array:
    return equivalence_ratio(then, premix, air.temperature_k, air.pressure_pa, air.humidity)


def _near_enough(density_ratio: Array) -> None:
    hint = "too far from the air it was set in; make a new setting there, starting rich"
    checked("air density, now to then,", density_ratio, *DENSITY_RATIOS, "", hint)


def _propagated(then: Setting, air: AirOfTheDay, premix: Premix) -> Propagated:
    """What the readings of both airs leave on the logarithm of the ratio."""

    def log_ratio(given: Mapping[str, float]) -> float:
        return _log_law(given, "now") - _log_law(given, "then") + fixed

    def _log_law(given: Mapping[str, float], day: str) -> float:
        wet = min(max(given[f"humidity {day}"], 0.0), 1.0)
        state = moist_air(given[f"temperature {day}"], given[f"pressure {day}"], wet)
        return -0.5 * math.log(float(state.density_kg_m3)) - math.log(float(state.dry_share))

    fixed = math.log(float(premix.strength() / then.premix.strength()))
    inputs: dict[str, Unsure] = {}
    for day, given in (("then", then.air), ("now", air)):
        inputs[f"temperature {day}"] = Unsure(given.temperature_k, given.u_temperature_k)
        inputs[f"pressure {day}"] = Unsure(given.pressure_pa, given.u_pressure_pa)
        inputs[f"humidity {day}"] = Unsure(given.humidity, given.u_humidity)
    return propagate(log_ratio, inputs)


def _full(then: Setting, air: AirOfTheDay, premix: Premix, venturi: Venturi) -> float:
    """The ratio with expansion and head: the engine draws the same volume, the throat answers with its suction."""
    before = moist_air(then.air.temperature_k, then.air.pressure_pa, then.air.humidity)
    now = moist_air(air.temperature_k, air.pressure_pa, air.humidity)
    throat = (venturi.throat_mm, venturi.discharge)
    drawn = venturi_flow_kg_s(*throat, venturi.depression_pa, before.pressure_pa, before.density_kg_m3)
    breathed = drawn / before.density_kg_m3 * now.density_kg_m3
    suction = throat_depression_pa(breathed, *throat, now.pressure_pa, now.density_kg_m3)
    was = _fuel(then.premix, venturi.depression_pa, venturi.head_mm)
    became = _fuel(premix, suction, venturi.head_mm)
    return float((became / was) * (drawn * before.dry_share) / (breathed * now.dry_share))


def _fuel(premix: Premix, suction: ArrayLike, head_mm: float) -> Array:
    """What a jet of one square millimetre passes, in air that it can burn. [kg/s]"""
    passed = jet_flow_kg_s(1.0, 0.7, suction, premix.density_kg_m3(), head_mm)
    return premix.fuel.stoichiometric_air * premix.fuel_share() * passed
