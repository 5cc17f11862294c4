"""Calculations on balance: static, by trial runs, and how much may be left."""

from __future__ import annotations

import numpy as np

from tickover.science.core.input_checks import InsufficientDataError
from tickover.science.engine.balance import permissible_unbalance, rotating_force_n, static_balance
from tickover.science.engine.trial_runs import TrialRuns, trial_runs
from tickover.workshop.calculations.asking import LENGTHS, number, one, rows
from tickover.workshop.calculations.calculation import (
    Calculation,
    CalculationAnswer,
    Field,
    Result,
    TableColumn,
    Values,
)
from tickover.workshop.calculations.catalogue.propeller import CLEAR
from tickover.workshop.drawings.vectors import Arrow, vectors

SECURE = (
    "A balance mass that flies off is a bullet: fasten it as the propeller’s maker says, and no other way."
)
ANGLE = TableColumn("angle", "°", -360, 360)


def _columns(values: Values, name: str) -> list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    given = rows(values, name)
    if not given:
        raise InsufficientDataError("at least one row is wanted")
    return [np.array([float(row[at]) for row in given]) for at in range(len(given[0]))]


def static(values: Values) -> CalculationAnswer:
    mass, radius, angle = _columns(values, "masses")
    rotor = static_balance(mass, radius, angle, number(values, "radius"))
    return CalculationAnswer(
        ("Add {mass} at {angle}.",),
        (
            Result("mass", "Mass to add", one(rotor.correction_g), "g", ("oz",), 3),
            Result("angle", "Where to add it", one(rotor.correction_deg), "°", (), 3),
            Result("unbalance", "Unbalance", one(rotor.unbalance_gmm), "g·mm", (), 3),
            Result("heavy", "Heavy side", one(rotor.heavy_deg), "°", (), 3),
        ),
        (rotor.working(),),
        (SECURE,),
    )


def draw_static(values: Values) -> str:
    mass, radius, angle = _columns(values, "masses")
    rotor = static_balance(mass, radius, angle, number(values, "radius"))
    given = [Arrow(float(m * r), float(a), f"{m:g} g") for m, r, a in zip(mass, radius, angle, strict=True)]
    put = one(rotor.unbalance_gmm), one(rotor.correction_deg)
    return vectors(
        "Unbalance of the masses and what balances them", "g·mm", [*given, Arrow(*put, "add here", True)]
    )


def _runs(values: Values) -> TrialRuns:
    amplitude, phase, mass, angle = _columns(values, "runs")
    return trial_runs(amplitude, phase, mass, angle, standard_uncertainty=number(values, "unsure") / 2)


def dynamic(values: Values) -> CalculationAnswer:
    runs = _runs(values)
    mass, angle = one(runs.correction_g), one(runs.correction_deg)
    wide, turn = 2 * one(runs.u_correction_g), min(2 * one(runs.u_correction_deg), 180.0)
    count = len(rows(values, "runs"))
    checked = "" if count > 2 else " Two runs settle it, a third would check it."
    return CalculationAnswer(
        (f"Take the trial masses off and add {{mass}} at {{angle}}.{checked}",),
        (
            Result(
                "mass",
                "Mass to add, at the radius of the trial masses",
                mass,
                "g",
                ("oz",),
                3,
                mass - wide,
                mass + wide,
            ),
            Result("angle", "Where to add it", angle, "°", (), 3, angle - turn, angle + turn),
            Result(
                "before", "Vibration without any mass", abs(complex(np.ravel(runs.original)[0])), "", (), 3
            ),
            Result("misfit", "Largest distance of a run from the fit", one(runs.misfit), "", (), 2),
        ),
        (runs.working(),),
        (SECURE,),
    )


def draw_dynamic(values: Values) -> str:
    runs = _runs(values)
    seen = [
        Arrow(float(amplitude), float(phase), "bare" if mass == 0 else f"{mass:g} g at {angle:g}°")
        for amplitude, phase, mass, angle in rows(values, "runs")
        if not isinstance(amplitude, str) and mass is not None
    ]
    put = one(runs.correction_deg)
    longest = max(arrow.length for arrow in seen)
    mark = Arrow(longest, put, f"add {one(runs.correction_g):.3g} g at {put:.0f}°", True)
    return vectors("Vibration of each run, and where the mass goes", "as read", [*seen, mark])


def permissible(values: Values) -> CalculationAnswer:
    allowed = permissible_unbalance(
        float(str(values["grade"])), number(values, "mass"), number(values, "rpm")
    )
    unbalance = one(allowed.unbalance_gmm)
    return CalculationAnswer(
        ("At most {unbalance} may be left: {mass} at the radius given.",),
        (
            Result("unbalance", "Residual unbalance", unbalance, "g·mm", (), 3),
            Result(
                "mass",
                "The same as a mass at that radius",
                unbalance / number(values, "radius"),
                "g",
                ("oz",),
                3,
            ),
            Result(
                "offset", "The same as an offset of the centre of mass", one(allowed.offset_um), "µm", (), 3
            ),
            Result(
                "force",
                "Force that goes round with it",
                one(rotating_force_n(unbalance, number(values, "rpm"))),
                "N",
                ("kgf",),
                2,
            ),
        ),
        (allowed.working(),),
    )


RADIUS = Field("radius", "Radius where the mass goes", "60", LENGTHS, "mm", 1, 2_000, called=("radius",))
GRADES = ("2.5", "6.3", "16", "40")
SUMS = (
    Calculation(
        "static-balance",
        "Which mass, and where, balances several?",
        "Balance",
        (
            Field(
                "masses",
                "Masses on the rotor",
                "4 500 0; 2.5 500 100",
                hint="One row each: grams, radius in mm, angle in degrees from one mark.",
                columns=(TableColumn("mass", "g", 0, 1e4), TableColumn("radius", "mm", 0.1, 5_000), ANGLE),
                called=("at least one row",),
            ),
            RADIUS,
        ),
        static,
        "tickover.science.engine.balance.static_balance",
        draw_static,
    ),
    Calculation(
        "dynamic-balance",
        "Which mass, and where, takes the vibration away?",
        "Balance",
        (
            Field(
                "runs",
                "Runs",
                "8.2 35 0 0; 12.8 45 10 0; 7.6 71 10 90",
                hint="One row each: vibration, phase in degrees, mass in grams, its angle. 0 0 for the bare run. "
                "All at the same rpm and radius; angles and phases counted the same way round.",
                columns=(
                    TableColumn("vibration", "", 0, 1e6),
                    TableColumn("phase", "°", -720, 720),
                    TableColumn("mass", "g", 0, 1e4),
                    ANGLE,
                ),
                called=("at least one row", "runs", "a trial run"),
            ),
            Field(
                "unsure",
                "Give and take of one vibration",
                "0.2",
                lower=0.0,
                upper=1e6,
                hint="In the unit of the runs.",
            ),
        ),
        dynamic,
        "tickover.science.engine.trial_runs.trial_runs",
        draw_dynamic,
        CLEAR,
    ),
    Calculation(
        "residual-unbalance",
        "How much unbalance may be left?",
        "Balance",
        (
            Field(
                "grade",
                "Balance quality grade G",
                "16",
                wants=tuple((grade, f"G {grade}") for grade in GRADES),
            ),
            Field(
                "mass",
                "Mass of the rotor",
                "1.2",
                ("kg", "lb"),
                "kg",
                0.05,
                500,
                give_or_take="0.05",
                called=("mass of the rotor",),
            ),
            Field(
                "rpm",
                "Highest speed in service",
                "2800",
                ("rpm",),
                "rpm",
                60,
                100_000,
                called=("highest speed",),
            ),
            RADIUS,
        ),
        permissible,
        "tickover.science.engine.balance.permissible_unbalance",
    ),
)
