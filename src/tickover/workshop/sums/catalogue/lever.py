"""The sum on the metering lever: what its height does at idle, half and full throttle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from tickover.science.metering import ILLUSTRATIVE, Metering, pop_off
from tickover.science.metering_fit import JET, Calibrated, calibrated
from tickover.science.metering_flow import POINTS, Point, flow
from tickover.science.metering_mixture import mixture_by_height_percent
from tickover.science.metering_readings import Reading
from tickover.workshop.pictures.lever_curve import LeverCurve, lever_curve
from tickover.workshop.sums.catalogue.asking import number, one, rows
from tickover.workshop.sums.catalogue.mixture import LEANING
from tickover.workshop.sums.sum import Answer, Column, Field, Result, Sum, Values

if TYPE_CHECKING:
    from tickover.sheets import TypeSheet

BAR = 1e5
FUEL_AT = {f"fuel-{point.name.split()[0]}": point for point in POINTS}
SEEN = {"pop-off": "spring_n", "reseat": "open_area_ratio", "fuel": JET}
"""What each kind of reading tells about."""
LEVERS = ("lever-height", "lever-height-flush")
NOT_YET = (
    "These figures are of no particular carburettor: they show which way and why, not how much, until your own "
    "readings are typed in below."
)


@dataclass(frozen=True)
class _System:
    metering: Metering
    points: tuple[Point, ...]
    fit: Calibrated | None


def _system(values: Values) -> _System:
    """The illustrative system, or the one that the technician's readings fit."""
    read = [_reading(*row) for row in rows(values, "readings")]
    if not read:
        return _System(ILLUSTRATIVE, POINTS, None)
    kinds = {reading.kind for reading in read}
    fit = calibrated(ILLUSTRATIVE, read, tuple(what for kind, what in SEEN.items() if kind in kinds))
    points = tuple(replace(point, jet_mm2=point.jet_mm2 * fit.jet) for point in POINTS)
    return _System(fit.system, points, fit)


def _reading(what: str | float, value: str | float, take: str | float, height: str | float) -> Reading:
    kind, size, half, at = str(what), float(value), float(take), float(height)
    if kind in FUEL_AT:
        return Reading("fuel", size, half / 2, at, point=FUEL_AT[kind])
    return Reading(kind, size * BAR, half * BAR / 2, at)


def metering_lever(values: Values) -> Answer:
    height, system = number(values, "height"), _system(values)
    percent = [
        one(row)
        for row in mixture_by_height_percent(system.metering, np.array([height]), points=system.points)
    ]
    popped, covered = pop_off(system.metering, height), pop_off(system.metering, height, "cover on")
    full = flow(system.metering, system.points[-1], height)
    results = (
        *(Result(name.split("-")[1], f"Mixture at {point.name} (below 0: leaner)", value, "%", (), 2)
          for (name, point), value in zip(FUEL_AT.items(), percent, strict=True)),
        Result("pop", "Pop-off, cover off", one(popped.pop_off_pa) / BAR, "bar", ("psi",), 3),
        Result("reseat", "Closes again at", one(popped.reseat_pa) / BAR, "bar", ("psi",), 3),
        Result("covered", "Pop-off with the cover on", one(covered.pop_off_pa) / BAR, "bar", ("psi",), 3),
        Result("flow", "Fuel at full throttle", one(full.fuel_l_h), "l/h", (), 3),
    )  # fmt: skip
    said = [_way(height, percent) + " {idle} at idle, {half} at half, {full} at full throttle."]
    if bool(np.any(full.at_stop)):
        said.append(
            "The diaphragm is at its stop at full throttle: the needle cannot open farther, the engine starves."
        )
    if bool(np.any(system.metering.floods_at_rest(height))):
        said.append("It floods: fuel comes through with the engine standing still.")
    workings = (popped.working(), full.working(), *((system.fit.working(),) if system.fit else ()))
    return Answer(tuple(said), results, workings, () if system.fit else (NOT_YET,))


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
    return lever_curve(LeverCurve(heights, percent, names, band, number(values, "height"), not system.fit))


def _band(sheet: TypeSheet) -> Mapping[str, str]:
    """The limits of the sheet's lever, counted from its nominal."""
    for limit in sheet.limits:
        if limit.id in LEVERS and limit.nominal is not None:
            ends = {"band-low": limit.lower, "band-high": limit.upper}
            return {name: f"{end - limit.nominal:.4g}" for name, end in ends.items() if end is not None}
    return {}


SUMS = (
    Sum(
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
                    Column("what", choices=("pop-off", "reseat", *FUEL_AT)),
                    Column("value", lower=0.01, upper=100.0),
                    Column("give or take", lower=0.0001, upper=50.0),
                    Column("height", "mm", -1.5, 1.5),
                ),
            ),
        ),
        metering_lever,
        "tickover.science.metering_mixture.mixture_by_height_percent",
        draw,
        LEANING,
        _band,
    ),
)
