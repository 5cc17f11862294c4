"""The sum on the metering lever: what its height does at idle, half and full throttle."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import InsufficientDataError
from tickover.science.fuel_system.metering.fit import COVERAGE, JET, Calibrated, calibrated
from tickover.science.fuel_system.metering.flow import POINTS, FlowPoint, flow
from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE, Metering, pop_off
from tickover.science.fuel_system.metering.mixture_by_lever import mixture_by_height_percent
from tickover.science.fuel_system.metering.readings import MeteringReading
from tickover.workshop.calculations.asking import number, one, rows
from tickover.workshop.calculations.calculation import (
    Calculation,
    CalculationAnswer,
    Field,
    Result,
    TableColumn,
    Values,
)
from tickover.workshop.calculations.catalogue.mixture import LEANING
from tickover.workshop.drawings.lever_curve import LeverCurve, lever_curve

if TYPE_CHECKING:
    from tickover.sheets import TypeSheet

Figures = NDArray[np.float64]
BAR = 1e5
FUEL_AT = {f"fuel-{point.name.split()[0]}": point for point in POINTS}
SEEN = {"pop-off": "spring_n", "reseat": "open_area_ratio", "fuel": JET}
"""What each kind of reading tells about."""
TRAVELS_MM = (0.2, 0.4, 0.7)
WORST = 3.0
"""Uncertainties by which a reading may lie off the fit."""
TOLD: tuple[tuple[str, str, str, tuple[str, ...], int], ...] = (
    *((name.split("-")[1], f"Mixture at {point.name} (below 0: leaner)", "%", (), 2)
      for name, point in FUEL_AT.items()),
    ("pop", "Pop-off, cover off", "bar", ("psi",), 3),
    ("reseat", "Closes again at", "bar", ("psi",), 3),
    ("covered", "Pop-off with the cover on", "bar", ("psi",), 3),
    ("flow", "Fuel at full throttle", "l/h", (), 3),
)  # fmt: skip
LEVERS = ("lever-height", "lever-height-flush")
NOT_YET = (
    "These figures are of no particular carburettor: they show which way and why, not how much, until your own "
    "readings are typed in below."
)
NOT_ITS_HEIGHT = (
    "What you read is your own; what the height does to the mixture is still that of no particular carburettor, "
    "until the full-throttle fuel flow is read at a second lever height."
)
OFF = (
    "Your readings do not match: one is off by more than three times its uncertainty. Take them again "
    "before you set anything."
)


@dataclass(frozen=True)
class _System:
    metering: Metering
    points: tuple[FlowPoint, ...]
    fit: Calibrated | None

    @property
    def caution(self) -> str:
        """What of it is still illustrative, or does not hold together; "" when neither."""
        if self.fit is None:
            return NOT_YET
        if np.abs(self.fit.residuals).max() > WORST:
            return OFF
        try:
            return "" if self.fit.heights_known_mm else NOT_ITS_HEIGHT
        except InsufficientDataError:
            return NOT_ITS_HEIGHT


def _system(values: Values) -> _System:
    """The illustrative system, or the one that the technician's readings fit."""
    read = tuple(_reading(*row) for row in rows(values, "readings"))
    if not read:
        return _System(ILLUSTRATIVE, POINTS, None)
    fit = _fitted(read)
    points = tuple(replace(point, jet_mm2=point.jet_mm2 * fit.jet) for point in POINTS)
    return _System(fit.system, points, fit)


@lru_cache(maxsize=16)
def _fitted(read: tuple[MeteringReading, ...]) -> Calibrated:
    """What the readings tell; fuel at two heights tells the travel of the diaphragm too, where it is at its stop.

    Whether it is there is not known beforehand, so the travel is sought from several sides; the best fit stays.
    """
    kinds = {reading.kind for reading in read}
    unknown = tuple(what for kind, what in SEEN.items() if kind in kinds)
    fits = [calibrated(ILLUSTRATIVE, read, unknown)]
    if len({reading.height_mm for reading in read if reading.kind == "fuel"}) > 1:
        for travel in TRAVELS_MM:
            with suppress(InsufficientDataError):
                fits.append(
                    calibrated(replace(ILLUSTRATIVE, travel_mm=travel), read, (*unknown, "travel_mm"))
                )
    return min(fits, key=lambda fit: float(fit.residuals @ fit.residuals))


def _reading(
    what: str | float, value: str | float, take: str | float, height: str | float
) -> MeteringReading:
    kind, size, half, at = str(what), float(value), float(take), float(height)
    if kind in FUEL_AT:
        return MeteringReading("fuel", size, half / 2, at, point=FUEL_AT[kind])
    return MeteringReading(kind, size * BAR, half * BAR / 2, at)


def metering_lever(values: Values) -> CalculationAnswer:
    height, system = number(values, "height"), _system(values)
    figures = _figures(system.metering, 1.0, height, system.points)
    unsure = np.zeros(figures.size)
    if system.fit:
        figures, unsure = system.fit.computed(lambda metering, jet: _figures(metering, jet, height))
    results = tuple(
        Result(name, words, value, unit, also, digits).widened(COVERAGE * u) if u
        else Result(name, words, value, unit, also, digits)
        for (name, words, unit, also, digits), value, u in zip(TOLD, figures.tolist(), unsure.tolist(), strict=True)
    )  # fmt: skip
    popped, full = pop_off(system.metering, height), flow(system.metering, system.points[-1], height)
    percent = figures[: len(POINTS)].tolist()
    said = [_way(height, percent) + " {idle} at idle, {half} at half, {full} at full throttle."]
    if bool(np.any(full.at_stop)):
        said.append(
            "The diaphragm is at its stop at full throttle: the needle cannot open farther, the engine starves."
        )
    if bool(np.any(system.metering.floods_at_rest(height))):
        said.append("It floods: fuel comes through with the engine stopped.")
    workings = (popped.working(), full.working(), *((system.fit.working(),) if system.fit else ()))
    return CalculationAnswer(tuple(said), results, workings, (system.caution,) if system.caution else ())


def _figures(
    metering: Metering, jet: float, height: float, points: tuple[FlowPoint, ...] = POINTS
) -> Figures:
    """What is told, in the order and the units of `TOLD`."""
    larger = tuple(replace(point, jet_mm2=point.jet_mm2 * jet) for point in points)
    percent = mixture_by_height_percent(metering, np.array([height]), points=larger)[:, 0]
    off, on = pop_off(metering, height), pop_off(metering, height, "cover on")
    pressures = np.array([one(off.pop_off_pa), one(off.reseat_pa), one(on.pop_off_pa)]) / BAR
    return np.array([*percent, *pressures, one(flow(metering, larger[-1], height).fuel_l_h)])


def _way(height: float, percent: list[float]) -> str:
    if height == 0:
        return "With the lever at nominal the mixture stays as the needles set it:"
    place = f"{abs(height):g} mm {'low' if height < 0 else 'high'}"
    starved = percent[-1] < min(percent[:-1]) and percent[-1] < -1.0
    return f"With the lever {place} the mixture{', leanest at full throttle,' if starved else ''} moves by"


def draw(values: Values) -> str:
    """Mixture over lever height at three throttle openings, with the limit band."""
    system = _system(values)
    heights = np.linspace(-1.0, 1.0, 41)
    percent = mixture_by_height_percent(system.metering, heights, points=system.points)
    band = (number(values, "band-low"), number(values, "band-high"))
    names = tuple(point.name for point in POINTS)
    return lever_curve(
        LeverCurve(heights, percent, names, band, number(values, "height"), bool(system.caution))
    )


def _band(sheet: TypeSheet) -> Mapping[str, str]:
    """The limits of the sheet's lever, counted from its nominal."""
    for limit in sheet.limits:
        if limit.id in LEVERS and limit.nominal is not None:
            ends = {"band-low": limit.lower, "band-high": limit.upper}
            return {name: f"{end - limit.nominal:.4g}" for name, end in ends.items() if end is not None}
    return {}


SUMS = (
    Calculation(
        "metering-lever",
        "What does the height of the metering lever do to the mixture?",
        "Air and mixture",
        (
            Field(
                "height",
                "Lever above nominal",
                "-0.3",
                ("mm", "in"),
                "mm",
                -1.5,
                1.5,
                "Below 0 for a low lever.",
                give_or_take="0.05",
                reading=LEVERS,
                over_nominal=True,
            ),
            Field("band-low", "Limit, lowest", "-0.2", ("mm",), "mm", -1.5, 0.0, "From nominal."),
            Field("band-high", "Limit, highest", "0.2", ("mm",), "mm", 0.0, 1.5, "From nominal."),
            Field(
                "readings",
                "Your own readings",
                hint="One row each: what, value, give or take, lever height in mm from nominal. Pop-off and reseat in "
                "bar with the cover off, fuel in l/h, such as: pop-off 1.30 0.05 0; fuel-full 3.9 0.2 0",
                optional=True,
                columns=(
                    TableColumn("what", choices=("pop-off", "reseat", *FUEL_AT)),
                    TableColumn("value", lower=0.01, upper=100.0),
                    TableColumn("give or take", lower=0.0001, upper=50.0),
                    TableColumn("height", "mm", -1.5, 1.5),
                ),
            ),
        ),
        metering_lever,
        "tickover.science.fuel_system.metering.mixture_by_lever.mixture_by_height_percent",
        draw,
        LEANING,
        _band,
    ),
)
