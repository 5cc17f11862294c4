"""What does the drive do: belt tension from its tone, gear ratio, and at which frequencies does it all sound?

References
----------
Tone of a string: T = 4 m L² f², any text on waves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.plausible import BELT_HZ, BELT_N, ENGINE_RPM, SOUND_HZ
from tickover.science.core.working import Working

__all__ = [
    "BeltTone",
    "ExcitationLine",
    "belt_frequency_hz",
    "belt_tension_n",
    "belt_tone",
    "gear_ratio",
    "line_table",
    "lines_hz",
    "propeller_rpm",
    "tension_error_share",
]

SPAN_M = (0.01, 5.0)
MASS_KG_PER_M = (1e-4, 10.0)
RPM = (0.0, 30_000.0)
RATIO = (0.1, 20.0)


@dataclass(frozen=True, eq=False)
class BeltTone:
    """Tension of a belt from the tone of its span; all of one shape. `u_frequency_hz`: standard uncertainty."""

    span_m: Array
    mass_kg_per_m: Array
    frequency_hz: Array
    u_frequency_hz: Array

    @property
    def tension_n(self) -> Array:
        """Tension of the span. [N]"""
        return belt_tension_n(self.span_m, self.mass_kg_per_m, self.frequency_hz)

    @property
    def u_tension_n(self) -> Array:
        """Standard uncertainty of the tension by the frequency, first order. [N]"""
        return 2.0 * self.tension_n * self.u_frequency_hz / self.frequency_hz

    def working(self, at: int = 0) -> Working:
        """How the tension came about."""
        return Working(
            title="belt tension from the tone of its span",
            formula="T = 4 m L² f²; u(T) = 2 T u(f)/f",
            inputs=(
                quantity_at("free span, tangent to tangent L", self.span_m, at, "m"),
                quantity_at("mass of a metre of belt m", self.mass_kg_per_m, at, "kg/m"),
                quantity_at("frequency f", self.frequency_hz, at, "Hz"),
                quantity_at("standard uncertainty of the frequency", self.u_frequency_hz, at, "Hz"),
                quantity_at("standard uncertainty of the tension by it", self.u_tension_n, at, "N"),
            ),
            result=quantity_at("tension T", self.tension_n, at, "N"),
            validity="the span swings freely at its lowest tone, the other spans damped; a stiff or short belt reads "
            "high",
            source="vibrating string",
            authority="physics; the tension itself is the maker's",
        )


@dataclass(frozen=True)
class ExcitationLine:
    """A frequency at which something of the engine sounds, with everything that sounds there."""

    hz: float
    names: tuple[str, ...]


def belt_tension_n(span_m: ArrayLike, mass_kg_per_m: ArrayLike, frequency_hz: ArrayLike) -> Array:
    """Tension of a belt from the tone of its free span.

    Parameters
    ----------
    span_m : array_like
        Free span, tangent point to tangent point, 0.01 to 5. [m]
    mass_kg_per_m : array_like
        Of the whole width of belt, 0.0001 to 10. [kg/m]
    frequency_hz : array_like
        Lowest tone, 2 to 5000. [Hz]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{belt_tension_n(span_m=0.13, mass_kg_per_m=0.082, frequency_hz=300.0):.4g}")
    498.9
    """
    tone = BELT_HZ.checked(frequency_hz)
    return 4.0 * _mass(mass_kg_per_m) * (_span(span_m) * tone) ** 2


def belt_frequency_hz(span_m: ArrayLike, mass_kg_per_m: ArrayLike, tension_n: ArrayLike) -> Array:
    """Tone at which a belt has a tension; inverse of `belt_tension_n`. [Hz]

    Parameters
    ----------
    span_m : array_like
        Free span of the belt, 0.01 to 5. [m]
    mass_kg_per_m : array_like
        Mass of a metre of belt, 0.0001 to 10. [kg/m]
    tension_n : array_like
        Tension, 1 to 100,000. [N]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [Hz]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{belt_frequency_hz(span_m=0.13, mass_kg_per_m=0.082, tension_n=500.0):.4g}")
    300.3
    """
    tension = BELT_N.checked(tension_n)
    tone: Array = np.sqrt(tension / _mass(mass_kg_per_m)) / (2.0 * _span(span_m))
    return tone


def belt_tone(
    span_m: ArrayLike, mass_kg_per_m: ArrayLike, frequency_hz: ArrayLike, *, u_frequency_hz: ArrayLike
) -> BeltTone:
    """Tension of a belt from its tone, with its working; inputs as for `belt_tension_n`.

    Parameters
    ----------
    span_m : array_like
        Free span of the belt, 0.01 to 5. [m]
    mass_kg_per_m : array_like
        Mass of a metre of belt, 0.0001 to 10. [kg/m]
    frequency_hz : array_like
        Frequency, 2 to 5000. [Hz]
    u_frequency_hz : array_like
        Uncertainty of the frequency, 0 to 1000. [Hz]

    Returns
    -------
    BeltTone

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = belt_tone(span_m=0.13, mass_kg_per_m=0.082, frequency_hz=300.0, u_frequency_hz=2.0)
    >>> print(f"{found.tension_n:.4g}")
    498.9
    """
    tone = BELT_HZ.checked(frequency_hz)
    u = checked("uncertainty of the frequency", u_frequency_hz, 0.0, 1_000.0, "Hz")
    return BeltTone(*broadcast(_span(span_m), _mass(mass_kg_per_m), tone, u))


def tension_error_share(frequency_error_share: ArrayLike) -> Array:
    """Error of the tension that an error of the frequency makes, both as shares; 0.03 gives 0.0609. [-]"""
    error = checked("error of the frequency as a share", frequency_error_share, -1.0, 1.0, "1")
    return error * (2.0 + error)


def gear_ratio(teeth_driver: ArrayLike, teeth_driven: ArrayLike) -> Array:
    """Turns of the crank for one of the propeller. [-]

    Parameters
    ----------
    teeth_driver : array_like
        Teeth of the driver, 5 to 1000. [-]
    teeth_driven : array_like
        Teeth of the driven wheel, 5 to 1000. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{gear_ratio(teeth_driver=20.0, teeth_driven=55.0):.4g}")
    2.75
    """
    driver = checked("teeth of the driver", teeth_driver, 5.0, 1_000.0)
    return checked("teeth of the driven wheel", teeth_driven, 5.0, 1_000.0) / driver


def propeller_rpm(rpm: ArrayLike, ratio: ArrayLike) -> Array:
    """Speed of the propeller; `ratio` is turns of the crank for one of the propeller. [rpm]

    Parameters
    ----------
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]
    ratio : array_like
        Ratio of the drive, 0.1 to 20. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [rpm]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{propeller_rpm(rpm=7000.0, ratio=2.75):.4g}")
    2545
    """
    return ENGINE_RPM.checked(rpm) / checked("ratio of the drive", ratio, *RATIO)


def lines_hz(
    rpm: ArrayLike, ratio: ArrayLike, blades: ArrayLike, teeth: ArrayLike | None = None
) -> dict[str, Array]:
    """Base frequencies of a single-cylinder two-stroke and its propeller.

    Parameters
    ----------
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]
    ratio : array_like
        Turns of the crank for one of the propeller, 0.1 to 20. [-]
    blades : array_like
        Blades of the propeller, 1 to 12.
    teeth : array_like or None
        Teeth of the wheel on the crank; None for a belt or no reduction.

    Returns
    -------
    dict of str to numpy.ndarray
        "half rate" (four-stroking), "crank", "firing", "propeller", "blade pass" and, with teeth, "gear mesh"; each
        has its own multiples above it. Two that are equal, such as firing and crank, cannot be told apart. [Hz]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> {name: round(float(hz)) for name, hz in lines_hz(6000.0, 2.5, 2).items()}
    {'half rate': 50, 'crank': 100, 'firing': 100, 'propeller': 40, 'blade pass': 80}
    """
    crank = ENGINE_RPM.checked(rpm) / 60.0
    propeller = propeller_rpm(rpm, ratio) / 60.0
    passing = propeller * checked("blades of the propeller", blades, 1.0, 12.0)
    found = {
        "half rate": crank / 2.0,
        "crank": crank,
        "firing": crank,
        "propeller": propeller,
        "blade pass": passing,
    }
    if teeth is not None:
        found["gear mesh"] = crank * checked("teeth of the driver", teeth, 5.0, 1_000.0)
    return found


@kinds_checked
def line_table(
    rpm: float,
    ratio: float,
    blades: int,
    teeth: int | None = None,
    *,
    highest_hz: float = 2_000.0,
    orders: int = 6,
) -> tuple[ExcitationLine, ...]:
    """The lines of `lines_hz` and their multiples, lowest first; what falls together is one line.

    Parameters
    ----------
    rpm, ratio, blades, teeth : float, int
        As for `lines_hz`, one engine.
    highest_hz : float
        Up to which frequency. [Hz]
    orders : int
        Up to which multiple of each, 1 to 100.

    Returns
    -------
    tuple[ExcitationLine, ...]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> line_table(6000.0, 2.5, 2)[0]
    ExcitationLine(hz=40.0, names=('propeller',))
    """
    highest = checked_one(
        "highest frequency", highest_hz, SOUND_HZ.lower, SOUND_HZ.upper, "Hz", SOUND_HZ.wanted
    )
    most = int(checked_one("multiples", orders, 1.0, 100.0))
    checked_one("engine speed", rpm, 1.0, RPM[1], "rpm")
    found: dict[float, list[str]] = {}
    for name, base in lines_hz(rpm, ratio, blades, teeth).items():
        for order in range(1, most + 1):
            hz = round(order * float(base), 6)
            if hz <= highest:
                found.setdefault(hz, []).append(name if order == 1 else f"{order} × {name}")
    return tuple(ExcitationLine(hz, tuple(names)) for hz, names in sorted(found.items()))


def _span(span_m: ArrayLike) -> Array:
    return checked("free span of the belt", span_m, *SPAN_M, "m")


def _mass(mass_kg_per_m: ArrayLike) -> Array:
    return checked("mass of a metre of belt", mass_kg_per_m, *MASS_KG_PER_M, "kg/m")
