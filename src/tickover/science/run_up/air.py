"""What would the thrust and the head temperature of a run have been in one and the same air?

Speeds stay as they are: power and load both go with the density (`static_weather`). Thrust goes with the density, and
a cooled head stands as much warmer as the air is; so these two are carried to the standard air at sea level before
runs are compared. Exhaust temperatures have no such rule and stay as they are.

References
----------
Thrust: `static_weather`. Head temperature: 14 CFR 23.1043 (c), CS 22.1047 (d): the difference of the air temperatures
is added to those of engine parts other than cylinder barrels; barrels take 0.7 of it (23.1043 (d)), which is taken
here as how far the rule may be off. ISO 2533 for the air.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from tickover.science.atmosphere.moist_air import (
    ASSUMED_HUMIDITY,
    FREEZING_K,
    TEMPERATURES_K,
    U_ANY_HUMIDITY,
    moist_density_kg_m3,
)
from tickover.science.atmosphere.standard_atmosphere import SEA_LEVEL_K
from tickover.science.atmosphere.static_correction import static_in_other_air
from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.plausible import THRUST_KGF
from tickover.science.core.working import Quantity
from tickover.science.run_up.measuring.degrees import POSSIBLE_C
from tickover.science.run_up.measuring.measures import Measure, not_measured

__all__ = ["Noted", "reference_figures", "reference_measures"]

LARGEST = 1e6
"""No figure of a run-up is larger, whatever its unit."""
STANDARD_KG_M3 = 1.225
U_AIR_K, U_PRESSURE_PA, U_HUMIDITY = 1.0, 150.0, 0.1
BARRELS = 0.7
LEAST_KGF = 0.5
NEWTONS = 9.80665
"""In one kilogram of force."""
THRUST = ("thrust-reference", "Static thrust, in standard air", "kgf")
CHT = ("cht-reference", "CHT at the end of full, in air of 15 °C", "deg C")
ANY_RPM = 7_000.0
"""The carried thrust does not depend on it."""


@dataclass(frozen=True)
class Noted:
    """What was noted beside a run; None where it was not: air [K], pressure at the field [Pa], thrust [kgf].

    `humidity` is relative, 0 to 1.
    """

    air_k: float | None = None
    pressure_pa: float | None = None
    humidity: float | None = None
    thrust_kgf: float | None = None

    def __post_init__(self) -> None:
        checked_fields(self)
        if self.thrust_kgf is not None:
            THRUST_KGF.checked(self.thrust_kgf)


def reference_measures(
    figures: Mapping[str, float | None], noted: Noted, *, u_cht_k: float | None
) -> tuple[Measure, ...]:
    """Static thrust and head temperature of a run in standard air at sea level.

    Parameters
    ----------
    figures : mapping of str to float or None
        Of the run, by their ids, as `RunUp.figures`.
    noted : Noted
    u_cht_k : float or None
        Standard uncertainty of the head temperature as measured; None where it is not known: the result says so. [K]

    Raises
    ------
    OutOfRangeError
        An air that cannot be.
    """
    return _thrust(noted), _head(figures.get("cht-full"), noted, u_cht_k)


@kinds_checked
def reference_figures(figures: Mapping[str, float | None], noted: Noted) -> dict[str, float | None]:
    """All figures of a run, with those in standard air among them.

    Parameters
    ----------
    figures : mapping from str to float or None
        By the ids of the measures; None where one was not measured.
    noted : Noted
        Air of the day [K], [Pa], [-] and thrust [kgf].

    Returns
    -------
    dict[str, float | None]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = reference_figures({"cht-full": 185.0}, Noted(303.15, 99e3, 0.5, 30.0))
    >>> {name: round(value, 1) for name, value in found.items()}
    {'cht-full': 185.0, 'thrust-reference': 32.7, 'cht-reference': 170.0}
    """
    carried = {measure.id: measure.value for measure in reference_measures(figures, noted, u_cht_k=None)}
    for id, value in figures.items():
        if value is not None:
            checked_one(id, value, -LARGEST, LARGEST)
    return {**figures, **carried}


def _thrust(noted: Noted) -> Measure:
    if noted.thrust_kgf is None:
        return not_measured(*THRUST, "no thrust was read on a load cell")
    if noted.thrust_kgf < LEAST_KGF:
        return not_measured(*THRUST, f"less than {LEAST_KGF:g} kgf was read")
    if noted.air_k is None or noted.pressure_pa is None:
        return not_measured(*THRUST, "air temperature and pressure were not both noted")
    humidity = ASSUMED_HUMIDITY if noted.humidity is None else noted.humidity
    densities = moist_density_kg_m3(noted.air_k, noted.pressure_pa, [humidity, 0.0, 1.0])
    carried = static_in_other_air(ANY_RPM, NEWTONS * noted.thrust_kgf, densities, STANDARD_KG_M3)
    ends = float(carried.thrust_n[0]) / NEWTONS, float(carried.thrust_friction_n[0]) / NEWTONS
    value, dry, saturated = ((carried.thrust_n + carried.thrust_friction_n) / (2.0 * NEWTONS)).tolist()
    u_humidity = U_ANY_HUMIDITY if noted.humidity is None else U_HUMIDITY
    of_moisture = u_humidity * (saturated - dry)
    of_air = value * math.hypot(U_AIR_K / noted.air_k, U_PRESSURE_PA / noted.pressure_pa)
    return Measure(
        *THRUST, value, math.hypot(abs(ends[0] - ends[1]) / math.sqrt(12.0), of_air, of_moisture),
        how="T · 1.225/ρ, and half-way from there to what friction that does not thin out would leave",
        inputs=(
            Quantity("thrust as read", noted.thrust_kgf, "kgf"),
            Quantity(
                "relative humidity", 100.0 * humidity, "%", "" if noted.humidity is not None else "not noted: assumed"
            ),
            Quantity("density of the air then ρ", float(densities[0]), "kg/m3"),
            Quantity("without friction", ends[0], "kgf"),
            Quantity("with friction", ends[1], "kgf"),
        ),
        source="torque balance; Gagg and Farrar (1934) (from memory); CIPM-2007; ISO 2533",
        holds_for="no wind; mixture right in both airs; the load cell’s own error comes on top"
        + ("" if noted.humidity is not None else f"; {_by_humidity(dry, saturated)}"),
    )  # fmt: skip


def _by_humidity(dry_kgf: float, saturated_kgf: float) -> str:
    """What an unknown humidity may hide: moist air is thinner, so that the carried thrust looks the better in it."""
    return (
        f"humidity not noted: {100.0 * ASSUMED_HUMIDITY:.0f} % assumed, {dry_kgf:.2f} kgf in dry air, "
        f"{saturated_kgf:.2f} kgf in saturated air, which flatters the engine"
    )


def _head(read_c: float | None, noted: Noted, u_cht_k: float | None) -> Measure:
    cht_c = None if read_c is None else checked_one("head temperature", read_c, *POSSIBLE_C["CHT"], "deg C")
    if cht_c is None:
        return not_measured(*CHT, "there is no head temperature at the end of full throttle")
    if noted.air_k is None:
        return not_measured(*CHT, "the air temperature was not noted")
    air_k = checked_one("air temperature", noted.air_k, *TEMPERATURES_K, "K")
    colder = SEA_LEVEL_K - air_k
    u_read_k = (
        0.0
        if u_cht_k is None
        else checked_one("uncertainty of the head temperature", u_cht_k, 0.0, 100.0, "K")
    )
    return Measure(
        *CHT, cht_c + colder, math.hypot(u_read_k, U_AIR_K, (1.0 - BARRELS) * colder / math.sqrt(3.0)),
        how="CHT + 15 °C − air temperature",
        inputs=(
            Quantity("CHT at the end of full", cht_c, "deg C"),
            Quantity("air temperature", air_k - FREEZING_K, "deg C"),
        ),
        source="14 CFR 23.1043 (c); CS 22.1047 (d)",
        holds_for="the same cooling" + ("; the probe’s own error comes on top" if u_cht_k is None else ""),
    )  # fmt: skip
