"""What do a technician's own readings say about this metering system?

Pop-off and reseat readings tell the spring and the seat, fuel flows at known lever heights tell jet, travel and
diaphragm. Until then all figures are illustrative; afterwards they hold between the heights that were read.

References
----------
G.A.F. Seber, C.J. Wild, *Nonlinear Regression* (1989), section 2.1, for the covariance (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from tickover.science.core.input_checks import InsufficientDataError, checked, checked_choice, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.results import NamedFigures
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.metering.flow import FlowPoint, flow
from tickover.science.fuel_system.metering.lever_balance import RANGES, Metering, pop_off
from tickover.science.fuel_system.metering.readings import MeteringReading

__all__ = ["JET", "UNKNOWN", "Calibrated", "FittedFigures", "calibrated"]

Array = NDArray[np.float64]

JET = "jet"
"""The unknown that is not a figure of the system: by how much the jets of all points are larger than given."""
UNKNOWN = ("spring_n", "open_area_ratio", JET)
JET_RANGE = (0.2, 5.0)
WORST_CONDITION = 1e7
COVERAGE = 2.0
SLOPE_STEP = 1e-4


@dataclass(frozen=True, eq=False)
class FittedFigures(NamedFigures):
    """Figures of a fitted system and what the fit leaves open of them, in the unit of the figures."""

    values: Any
    standard_uncertainties: Any


@dataclass(frozen=True)
class Calibrated:
    """A metering system with figures from readings.

    `values` and `standard_uncertainties` belong to `names`; `covariance` is of their logarithms. `residuals` are
    in standard uncertainties of their readings: one beyond 3 is a reading to be taken again. `jet` enlarges the
    jets of all points.
    """

    system: Metering
    jet: float
    names: tuple[str, ...]
    values: Array
    standard_uncertainties: Array
    covariance: Array
    residuals: Array
    readings: tuple[MeteringReading, ...]

    @property
    def spare_readings(self) -> int:
        """Readings beyond those that the unknowns need; without any, nothing checks the fit."""
        return len(self.readings) - len(self.names)

    @property
    def authority(self) -> str:
        """How far to trust what is computed with these figures."""
        return self.system.authority

    @property
    def heights_known_mm(self) -> tuple[float, float]:
        """Lever heights between which fuel was read. [mm]

        Raises
        ------
        InsufficientDataError
            When fuel was read at one height or at none.
        """
        heights = {reading.height_mm for reading in self.readings if reading.kind == "fuel"}
        if len(heights) < 2:
            raise InsufficientDataError(
                "fuel was read at fewer than two lever heights: what the height does is still illustrative here; "
                "read the full-throttle fuel flow at a second height"
            )
        return min(heights), max(heights)

    @kinds_checked
    def fuel_l_h(self, point: FlowPoint, height_mm: float) -> FittedFigures:
        """Fuel and its standard uncertainty at a throttle opening and a lever height. [L/h]

        Parameters
        ----------
        point : FlowPoint
            The throttle opening.
        height_mm : float
            Lever above nominal, between the heights at which fuel was read. [mm]

        Returns
        -------
        FittedFigures
            Of single numbers. [L/h]

        Raises
        ------
        InsufficientDataError
            When fuel was read at fewer than two lever heights.
        OutOfRangeError
            For a height outside of those that were read.

        Examples
        --------
        >>> from tickover.science.fuel_system.metering.flow import POINTS
        >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
        >>> read = [
        ...     MeteringReading("fuel", 6.4, 0.2, 0.0, point=POINTS[2]),
        ...     MeteringReading("fuel", 5.9, 0.2, -0.2, point=POINTS[2]),
        ... ]
        >>> found = calibrated(ILLUSTRATIVE, read, ("jet",)).fuel_l_h(POINTS[2], -0.1)
        >>> print(f"{found.values:.2f} L/h, standard uncertainty {found.standard_uncertainties:.2f} L/h")
        6.15 L/h, standard uncertainty 0.23 L/h
        """
        hint = "fuel was read between these heights only; beyond them the figures are illustrative"
        height = checked_one("lever height", height_mm, *self.heights_known_mm, "mm", hint)
        litres, unsure = self.computed(
            lambda system, jet: flow(system, _larger(point, jet), height).fuel_l_h.reshape(1)
        )
        return FittedFigures(float(litres[0]), float(unsure[0]))

    @kinds_checked
    def computed(self, figures: Callable[[Metering, float], Array]) -> FittedFigures:
        """Figures computed from the fitted system, and their standard uncertainties by the fit alone.

        Parameters
        ----------
        figures : callable
            Of the system and the factor of its jets; gives an array of figures, in any units.

        Returns
        -------
        FittedFigures
            In the order and the units of `figures`.

        Notes
        -----
        First order (JCGM 100:2008, 5.2.2): the fitted figures hang together, which their covariance counts.
        """
        centre = np.log(self.values)

        def at(logs: Array) -> Array:
            return np.ravel(
                checked("figure", figures(*_with(self.system, self.names, np.exp(logs))), -1e12, 1e12)
            )

        slopes = [
            (at(centre + d) - at(centre - d)) / (2.0 * SLOPE_STEP) for d in SLOPE_STEP * np.eye(centre.size)
        ]
        slope = np.stack(slopes, axis=-1)
        unsure = np.sqrt(np.einsum("ij,jk,ik->i", slope, self.covariance, slope))
        return FittedFigures(at(centre), unsure)

    def working(self) -> Working:
        """What was found, and how well the readings agree."""
        found = (
            Quantity(
                name.replace("_", " "),
                f"{value:.4g} ± {COVERAGE * unsure:.2g}",
                RANGES.get(name, ("", "", ""))[2],
            )
            for name, value, unsure in zip(self.names, self.values, self.standard_uncertainties, strict=True)
        )
        worst = float(np.abs(self.residuals).max())
        return Working(
            title="metering system from own readings",
            formula="least sum of ((reading − computed)/uncertainty)²; ± is about 95 %",
            inputs=(
                *found,
                Quantity("readings", len(self.readings), ""),
                Quantity("to spare", self.spare_readings, ""),
            ),
            result=Quantity("worst reading, in its uncertainties", worst, ""),
            validity="this carburettor as it was read; nothing checks the fit when no reading is to spare",
            source="own readings",
            authority=self.authority,
        )


@kinds_checked
def calibrated(
    start: Metering,
    readings: Sequence[MeteringReading],
    unknown: tuple[str, ...] = UNKNOWN,
    by: str = "own readings",
) -> Calibrated:
    """Fit a metering system to readings by weighted least squares.

    Parameters
    ----------
    start : Metering
        All figures that are not to be found, measured or from the type sheet, and where to begin with the others.
    readings : sequence of Reading
        At least as many as there are unknowns.
    unknown : tuple of str
        Figures of `Metering` to be found, and "jet".
    by : str
        Whose readings, for the authority of the result.

    Returns
    -------
    Calibrated

    Raises
    ------
    InsufficientDataError
        For fewer readings than unknowns, or readings that cannot tell one unknown from another.
    OutOfRangeError
        For an unknown that there is not.

    Notes
    -----
    The uncertainties grow with the scatter of the readings when they scatter more than they should, and never
    shrink below what the instruments are good for.

    Examples
    --------
    >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
    >>> pop, reseat = MeteringReading("pop-off", 100e3, 3e3), MeteringReading("reseat", 70e3, 3e3)
    >>> found = calibrated(ILLUSTRATIVE, [pop, reseat], ("spring_n", "open_area_ratio"))
    >>> print(f"{found.system.open_area_ratio:.3f}")
    1.429
    """
    names = tuple(checked_choice("unknown", name, (*RANGES, JET)) for name in unknown)
    if not names or len(readings) < len(names):
        raise InsufficientDataError(
            f"{len(readings)} readings are too few for {len(names)} unknowns: {', '.join(names)}"
        )
    weights = np.array([reading.standard_uncertainty for reading in readings])
    seen = np.array([reading.value for reading in readings])

    def off(logs: Array) -> Array:
        return np.asarray((_computed(*_with(start, names, np.exp(logs)), readings) - seen) / weights)

    spans = np.array([JET_RANGE if name == JET else RANGES[name][:2] for name in names])
    lower, upper = np.log(np.maximum(spans, 1e-9)).T
    begin = np.log([max(getattr(start, name, 1.0), 1e-6) for name in names])
    inside = np.clip(begin, lower + 1e-6, upper - 1e-6)
    found = least_squares(
        off, inside, bounds=(lower, upper), diff_step=[1e-5] * len(names), xtol=1e-12, ftol=1e-12
    )
    covariance = _covariance(np.asarray(found.jac), np.asarray(found.fun), names)
    values = np.exp(found.x)
    system, jet = _with(start, names, values)
    unsure = values * np.sqrt(np.diag(covariance))
    by_whom = replace(system, calibrated=by)
    return Calibrated(by_whom, jet, names, values, unsure, covariance, found.fun, tuple(readings))


def _covariance(jacobian: Array, residuals: Array, names: tuple[str, ...]) -> Array:
    """Of the logarithms of the unknowns; refused when the readings leave one of them open."""
    sizes = np.linalg.norm(jacobian, axis=0)
    silent = [name for name, size in zip(names, sizes, strict=True) if size < 1e-6]
    if silent:
        raise InsufficientDataError(
            f"these readings say nothing about {', '.join(silent)}: take others or give it"
        )
    if np.linalg.cond(jacobian / sizes) > WORST_CONDITION:
        raise InsufficientDataError(f"these readings cannot separate {', '.join(names)}: give one of them")
    spare = residuals.size - len(names)
    scatter = max(1.0, float(residuals @ residuals) / spare) if spare else 1.0
    return np.asarray(np.linalg.inv(jacobian.T @ jacobian) * scatter)


def _with(start: Metering, names: tuple[str, ...], values: Array) -> tuple[Metering, float]:
    """The system with these figures, and the factor of its jets."""
    found: dict[str, Any] = {
        name: float(np.clip(value, *RANGES.get(name, JET_RANGE)[:2]))
        for name, value in zip(names, values, strict=True)
    }
    jet = float(found.pop(JET, 1.0))
    return replace(start, **found), jet


def _computed(system: Metering, jet: float, readings: Sequence[MeteringReading]) -> Array:
    return np.array([_one(system, jet, reading) for reading in readings])


def _one(system: Metering, jet: float, reading: MeteringReading) -> float:
    if reading.point is not None and reading.kind == "fuel":
        return float(flow(system, _larger(reading.point, jet), reading.height_mm).fuel_l_h)
    pops = pop_off(system, reading.height_mm, reading.method)
    return float(pops.pop_off_pa if reading.kind == "pop-off" else pops.reseat_pa)


def _larger(point: FlowPoint, jet: float) -> FlowPoint:
    return replace(
        point, jet_mm2=float(checked(f"jet at {point.name}", point.jet_mm2 * jet, 1e-3, 25.0, "mm2"))
    )
