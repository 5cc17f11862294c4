"""What can a quantity of this trade be? Ranges narrow enough that a number in the wrong unit is refused.

Metres for millimetres, bar for pascals, turns a second for revolutions a minute: each is off by 50 times or more, and a
range that no engine of this trade leaves tells it. Slips by less (inches for millimetres) look like another engine.
Unless a range says otherwise its ends are common practice, no source: well outside of what is met.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.input_checks import Array, OutOfRangeError, checked

__all__ = ["Plausible"]

NOTHING = 1e-9
"""What rounding leaves of a zero."""


@dataclass(frozen=True)
class Plausible:
    """From `lower` to `upper`, no smaller in size than `least` but for 0 [unit]; `wanted` says what to do about it."""

    name: str
    lower: float
    upper: float
    unit: str
    wanted: str
    least: float = 0.0

    def checked(self, value: ArrayLike, name: str = "") -> Array:
        """The value as an array, if it can be; `name` where there are several of the kind.

        Raises
        ------
        OutOfRange
        """
        called = name or self.name
        array = checked(called, value, self.lower, self.upper, self.unit, self.wanted)
        size = np.abs(array)
        small = (size < self.least) & (size > NOTHING)
        if small.any():
            first = float(array[small][0])
            said = f"{called} must be 0, or {self.least:g} {self.unit} or more; got {first:.10g} {self.unit}"
            raise OutOfRangeError(f"{said}: {self.wanted}")
        return array


ENGINE_RPM = Plausible("engine speed", 0.0, 30_000.0, "rpm", "revolutions a minute are wanted", 150.0)
"""No starter turns an engine slower, and none of these turns faster; in turns a second all stay below 150."""
FULL_RPM = Plausible("usual full speed", 1_000.0, 30_000.0, "rpm", "revolutions a minute are wanted")
PROPELLER_RPM = Plausible("propeller speed", 60.0, 20_000.0, "rpm", "revolutions a minute are wanted")
ROTOR_RPM = Plausible("rotor speed", 60.0, 100_000.0, "rpm", "revolutions a minute are wanted")

SQUISH_MM = Plausible("squish", 0.05, 20.0, "mm", "millimetres are wanted")
"""Closer than 0.05 mm the piston touches."""
GAP_MM = Plausible("ring gap", 0.0, 20.0, "mm", "millimetres are wanted", 0.01)
"""The thinnest feeler has 0.02 mm."""
PISTON_WAY_MM = Plausible(
    "way of the piston from top centre", 0.0, 2_000.0, "mm", "millimetres are wanted", 0.01
)
"""A dial gauge shows 0.01 mm."""
EXHAUST_WAY_MM = Plausible("way to the exhaust's upper edge", 0.0, 500.0, "mm", "millimetres are wanted", 0.5)
DECK_MM = Plausible("crown below the deck", -20.0, 50.0, "mm", "millimetres are wanted", 0.01)
"""A depth gauge shows 0.01 mm."""
PORT_OPENS_DEG = Plausible("opening of the port after top centre", 5.0, 180.0, "deg", "degrees are wanted")
"""Exhausts open near 90, transfers near 120."""
HEAD_CM3 = Plausible("volume left at top centre", 0.5, 500.0, "cm3", "cubic centimetres are wanted")
"""A cylinder of 5 cm3 compressed ten times, to one of 2,500 compressed six times."""
CASE_CM3 = Plausible("crankcase volume", 5.0, 10_000.0, "cm3", "cubic centimetres are wanted")
WHOLE_CM3 = Plausible("whole volume", 5.0, 10_000.0, "cm3", "cubic centimetres are wanted")
LEAK_L_MIN = Plausible("leak", 0.0, 200.0, "l/min", "litres a minute are wanted, without a sign")
"""More than the whole air of an idle is no leak but an open hose."""

TORQUE_NM = Plausible("torque", 0.0, 2_000.0, "N.m", "newton metres are wanted", 0.05)
"""From the smallest screwdrivers of ISO 6789 to far above any nut here."""
TOOL_NM = Plausible("largest torque of the tool", 0.1, 3_000.0, "N.m", "newton metres are wanted")
DRAG_NM = Plausible("friction drag of the nut", 0.0, 50.0, "N.m", "newton metres are wanted", 0.02)
PRELOAD_N = Plausible("preload", 0.0, 2e6, "N", "newtons are wanted", 50.0)
"""An M2 screw clamps with more."""

POWER_W = Plausible("power", 0.0, 1e6, "W", "watts are wanted", 100.0)
THRUST_N = Plausible("thrust", 0.0, 1e5, "N", "newtons are wanted", 2.0)
THRUST_KGF = Plausible("thrust", 0.0, 500.0, "kgf", "kilograms of force are wanted")
"""An engine of 100 kW pulls 300 kgf."""

UNBALANCE_GMM = Plausible("unbalance", 0.0, 1e6, "g.mm", "gram millimetres are wanted", 0.1)
"""Finer than any rotor here is balanced; a kilogram at a metre is the other end."""
BALANCE_RADIUS_MM = Plausible("radius", 1.0, 5_000.0, "mm", "millimetres are wanted")
BALANCE_G = Plausible("mass", 0.0, 500.0, "g", "grams are wanted", 0.02)
ROTOR_KG = Plausible("mass of the rotor", 1e-3, 500.0, "kg", "kilograms are wanted")
"""Heaviest: an engine with its propeller, which is never balanced as one rotor."""

BELT_HZ = Plausible("frequency", 2.0, 5_000.0, "Hz", "hertz are wanted")
BELT_N = Plausible("tension", 1.0, 1e5, "N", "newtons are wanted")
SOUND_HZ = Plausible("highest frequency", 20.0, 100_000.0, "Hz", "hertz are wanted")
"""Below 20 Hz nothing is heard."""

TANK_L = Plausible("petrol", 0.0, 1_500.0, "l", "litres are wanted", 0.02)
DEPRESSION_PA = Plausible("depression", 0.0, 110_000.0, "Pa", "pascals are wanted: 1 hPa is 100", 50.0)
"""Idle has hundreds of pascals, full throttle thousands."""
FILTER_PA = Plausible("drop over the filter", 0.0, 50_000.0, "Pa", "pascals are wanted: 1 hPa is 100", 10.0)
JET_MM2 = Plausible("jet area", 0.0, 20.0, "mm2", "square millimetres are wanted", 0.02)
"""A hole of 0.16 mm, finer than any idle jet."""
FUEL_HEAD_MM = Plausible("head of the lip", -100.0, 100.0, "mm", "millimetres are wanted", 0.1)
LIFT_MM = Plausible("needle lift", 0.0, 20.0, "mm", "millimetres are wanted", 0.002)
"""A thousandth of a millimetre is what a seat is lapped to."""
LEVER_MM = Plausible(
    "lever height",
    -1.5,
    1.5,
    "mm",
    "asked for against the nominal height in millimetres, above it positive",
    0.002,
)
BEND_MM = Plausible("bending of the diaphragm", -40.0, 40.0, "mm", "millimetres are wanted", 0.002)
FUEL_KG_S = Plausible("fuel flow", 0.0, 0.1, "kg/s", "kilograms a second are wanted")
"""0.1 kg/s are 480 litres an hour."""
AIR_KG_S = Plausible("air flow", 0.0, 1.0, "kg/s", "kilograms a second are wanted")

REPAIR_MIN = Plausible("minutes of a repair", 0.0, 2_880.0, "min", "minutes are wanted", 1.0)
"""Two days at the bench without a break."""
VISIT_MIN = Plausible("minutes of a visit", 0.0, 480.0, "min", "minutes are wanted", 1.0)
"""A working day to fetch an engine and bring it back."""
LISTEN_S = Plausible("time of a threshold", 0.0, 3_600.0, "s", "seconds are wanted", 1.0)
WARM_C = Plausible("temperature of a warm head", 20.0, 250.0, "deg C", "degrees Celsius are wanted")
IDLE_RPM = Plausible("speed below which it idles", 300.0, 20_000.0, "rpm", "revolutions a minute are wanted")
