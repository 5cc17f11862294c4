"""How true is a torque that was set and not measured, and what may the wrench be set to?

A wrench that is set tells nothing back: what it gave at the nut is known by its class alone. A tool of ISO 6789 may
deviate by so many per cent of the torque it truly gives, and how many goes by its type, its class and the largest
torque it is made for, not by what it is set to.

References
----------
ISO 6789-1:2017, 5.1.5 (permissible deviation, in per cent of the reference value). Type II class A, 6 % for a tool of
10 N.m at most and 4 % for a larger one: as the user manual of such a wrench quotes the standard. The other classes:
from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from tickover.science.core.input_checks import checked_choice, checked_one
from tickover.science.core.plausible import TOOL_NM
from tickover.science.core.results import NamedFigures
from tickover.science.core.working import Quantity, Working

__all__ = [
    "CLASSES",
    "INDICATING",
    "Conformity",
    "SetTorque",
    "TorqueGiven",
    "largest_setting",
    "permissible_deviation",
    "torque_given",
]

SMALL_NM = 10.0
"""The largest torque of a small tool. [N.m]"""
TORQUE = (0.0, 100_000.0)
HAIR = 1e-9
"""Share by which rounding in binary may carry a value across a figure."""

CLASSES: dict[str, tuple[str, float, float]] = {
    "I A": ("indicating wrench, torsion or flexion bar", 0.06, 0.06),
    "I B": ("indicating wrench, scale or dial", 0.06, 0.04),
    "I C": ("indicating wrench, electronic", 0.06, 0.04),
    "I D": ("indicating screwdriver, scale or dial", 0.06, 0.06),
    "I E": ("indicating screwdriver, electronic", 0.06, 0.04),
    "II A": ("setting wrench with a scale", 0.06, 0.04),
    "II B": ("setting wrench, one fixed torque", 0.06, 0.04),
    "II C": ("setting wrench without a scale", 0.06, 0.04),
    "II D": ("setting screwdriver with a scale", 0.06, 0.06),
    "II E": ("setting screwdriver, one fixed torque", 0.06, 0.06),
    "II F": ("setting screwdriver without a scale", 0.06, 0.06),
    "II G": ("setting wrench, flexion bar with a scale", 0.06, 0.06),
}
"""Type and class: what it is, and its permissible deviation up to 10 N.m and above, as a share."""
INDICATING = frozenset(name for name in CLASSES if name.startswith("I "))
"""Tools that are read: what they show is a measurement."""


class Conformity(StrEnum):
    """What is known of a torque that was set."""

    CONFORMS = "conforms"
    DOES_NOT_CONFORM = "does not conform"
    WRENCH_NOT_KNOWN = "wrench not known"


def permissible_deviation(tool_class: str, largest_nm: float) -> float:
    """How far a tool may deviate, as a share of the torque it truly gives. [-]

    Parameters
    ----------
    tool_class : str
        Type and class by ISO 6789, a key of `CLASSES`.
    largest_nm : float
        The largest torque the tool is made for, 0.1 to 3000. [N.m]

    Returns
    -------
    float
        [-]

    Raises
    ------
    OutOfRangeError
        For a class that is none, or a torque that cannot be.

    Examples
    --------
    >>> found = permissible_deviation(tool_class='II A', largest_nm=20.0)
    >>> print(f"{found:.4g}")
    0.04
    """
    _, small, large = CLASSES[checked_choice("tool class", tool_class, tuple(CLASSES))]
    largest = checked_one(
        "largest torque of the tool", largest_nm, TOOL_NM.lower, TOOL_NM.upper, "N.m", TOOL_NM.wanted
    )
    return small if largest <= SMALL_NM else large


@dataclass(frozen=True)
class TorqueGiven(NamedFigures):
    """Least and greatest torque that a tool in order gives, in the unit of its setting."""

    least: float
    most: float


def torque_given(setting: float, deviation: float) -> TorqueGiven:
    """Least and greatest torque that a tool in order gives at a setting, in its unit.

    With deviation d = (setting - given)/given, what is given lies from S/(1 + d) to S/(1 - d).

    Parameters
    ----------
    setting : float
        Setting, 0 to 100,000. [-]
    deviation : float
        Permissible deviation, 0 to 0.5. [-]

    Returns
    -------
    TorqueGiven

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{torque_given(setting=9.0, deviation=0.04).least:.4g}")
    8.654
    """
    share = _share(deviation)
    value = checked_one("setting", setting, *TORQUE)
    return TorqueGiven(value / (1.0 + share), value / (1.0 - share))


def largest_setting(never_above: float, deviation: float, step: float = 0.0) -> float:
    """The greatest setting at which a tool in order never gives more than a torque, in its unit.

    S = T (1 - d), rounded down to a step of its scale; 0 for no step.

    Parameters
    ----------
    never_above : float
        Torque that is never passed, 0 to 100,000. [-]
    deviation : float
        Permissible deviation, 0 to 0.5. [-]
    step : float
        Step of the scale, 0 to 100,000. [-]

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{largest_setting(never_above=10.0, deviation=0.04, step=0.5):.4g}")
    9.5
    """
    most = checked_one("torque that is never passed", never_above, *TORQUE) * (1.0 - _share(deviation))
    size = checked_one("step of the scale", step, *TORQUE)
    return most if size == 0.0 else math.floor(most / size * (1.0 + HAIR)) * size


@dataclass(frozen=True)
class SetTorque:
    """A torque that was set: what it was set to, between which limits, and by a tool of which deviation.

    All torques in one unit. `deviation` is None where the tool is not known, and `why_not` says why.
    """

    setting: float
    lower: float | None
    upper: float | None
    never_above: float | None = None
    deviation: float | None = None
    why_not: str = ""
    step: float = 0.0

    @property
    def conformity(self) -> Conformity:
        """A setting outside its limits never conforms; one inside does by a tool that is known."""
        below = self.lower is not None and self.setting < self.lower
        above = self.upper is not None and self.setting > self.upper
        if below or above:
            return Conformity.DOES_NOT_CONFORM
        return Conformity.CONFORMS if self._known is not None else Conformity.WRENCH_NOT_KNOWN

    @property
    def given(self) -> TorqueGiven | None:
        """Least and greatest torque at the nut; None where the tool is not known."""
        return None if self._known is None else torque_given(self.setting, self._known)

    @property
    def leaves_room(self) -> bool:
        """Whether even the greatest torque the tool may give is not beyond what is never passed."""
        if self.given is None or self.never_above is None:
            return True
        return self.given.most <= self.never_above * (1.0 + HAIR)

    @property
    def at_most(self) -> float | None:
        """The greatest setting of this tool that leaves room; None where nothing limits it, or nothing is known."""
        if self._known is None or self.never_above is None:
            return None
        return largest_setting(self.never_above, self._known, self.step)

    @property
    def _known(self) -> float | None:
        return None if self.why_not else self.deviation

    def working(self, unit: str, title: str) -> Working:
        """How the torque at the nut follows from the setting."""
        share = "not known" if self._known is None else f"{100.0 * self._known:g} %"
        least, most = self.given or (None, None)
        return Working(
            title=title,
            formula="least = S/(1 + d), most = S/(1 − d)",
            inputs=(
                Quantity("setting S", self.setting, unit),
                Quantity("lower limit of the setting", "none" if self.lower is None else self.lower, unit),
                Quantity("upper limit of the setting", "none" if self.upper is None else self.upper, unit),
                Quantity(
                    "never more than", "not stated" if self.never_above is None else self.never_above, unit
                ),
                Quantity("permissible deviation d", share, "", self.why_not),
                Quantity("least at the nut", "not known" if least is None else f"{least:.4g}", unit),
                Quantity("most at the nut", "not known" if most is None else f"{most:.4g}", unit),
            ),
            result=Quantity("set torque", str(self.conformity), ""),
            validity="a tool in calibration, set inside its range and pulled at its grip; one joint, not its friction",
            source="ISO 6789-1:2017, 5.1.5; classes other than II A from memory",
            authority="standard",
        )


def _share(deviation: float) -> float:
    return checked_one("permissible deviation", deviation, 0.0, 0.5)
