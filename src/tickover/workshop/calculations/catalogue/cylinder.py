"""Calculations on the cylinder: squish, compression, ring gap."""

from __future__ import annotations

from tickover.science.engine.compression import case_below_piston_cm3, compression
from tickover.science.engine.crank import travel_mm
from tickover.science.engine.cylinder import ring_gap, squish_mm, swept_cm3
from tickover.science.engine.squish_velocity import peak_squish
from tickover.workshop.calculations.asking import (
    BORE,
    HEAD,
    LENGTHS,
    ROD,
    RPM,
    STROKE,
    number,
    one,
    perhaps,
    standard,
)
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

OFF = "Plug out, ignition earthed, turned by hand only."


def squish(values: Values) -> CalculationAnswer:
    apart = perhaps(values, "apart")
    read = squish_mm(
        number(values, "one-side"),
        number(values, "other-side"),
        apart,
        u_reading_mm=standard(values, "one-side"),
    )
    results = [
        Result("mean", "Squish in the middle", one(read.mean_mm), "mm", ("in",), 3),
        Result("least", "The closer side", one(read.least_mm), "mm", ("in",), 3),
        Result("difference", "How much wider the other side is", one(read.difference_mm), "mm", ("in",), 2),
    ]
    sentences = ["The squish is {mean}; the closer side has {least}."]
    if apart is not None:
        results.append(
            Result("tilt", "Lean of head or cylinder over the piston", one(read.tilt_deg), "°", (), 2)
        )
        sentences.append("Head or cylinder leans by {tilt}.")
    return CalculationAnswer(tuple(sentences), tuple(results), (read.working(),))


def squish_speed(values: Values) -> CalculationAnswer:
    names = ("gap", "band", "bore", "stroke", "rod", "head", "rpm")
    found = peak_squish(*(number(values, name) for name in names))
    return CalculationAnswer(
        ("The charge leaves the squish band at {speed} at most, {angle} before top centre.",),
        (
            Result("speed", "Fastest squish", one(found.speed_m_s), "m/s", ("ft/min",), 3),
            Result("angle", "Before top centre", one(found.crank_deg), "°", (), 3),
        ),
        (found.working(),),
    )


def compression_ratios(values: Values) -> CalculationAnswer:
    bore, stroke, head = (number(values, name) for name in ("bore", "stroke", "head"))
    opens, whole = perhaps(values, "exhaust-opens"), perhaps(values, "whole")
    travel = None if opens is None else travel_mm(opens, stroke, number(values, "rod"))
    case = None if whole is None else case_below_piston_cm3(whole, bore, stroke, head)
    ratios = compression(bore, stroke, head, trapped_travel_mm=travel, case_cm3=case)
    shown = [("geometric", "Geometric", ratios.geometric, True)]
    shown += [("trapped", "Trapped, from the closing of the exhaust", ratios.trapped, opens is not None)]
    shown += [("crankcase", "Crankcase", ratios.crankcase, whole is not None)]
    results = [Result(name, words, one(ratio), "", (), 3) for name, words, ratio, known in shown if known]
    results.append(Result("swept", "Swept volume", one(swept_cm3(bore, stroke)), "cm3", ("in3",), 4))
    parts = [f"{result.id} {{{result.id}}} to 1" for result in results[:-1]]
    return CalculationAnswer(
        (f"Compression ratio: {', '.join(parts)}.",), tuple(results), (ratios.working(),)
    )


def gap_of_ring(values: Values) -> CalculationAnswer:
    gap = ring_gap(number(values, "gap"), number(values, "bore"))
    per, least, most, worn = one(gap.per_bore), *(one(x) for x in gap.new_mm), one(gap.service_mm)
    place = (
        "under what a new ring usually has" if gap.gap_mm < least
        else "as a new ring usually has" if gap.gap_mm <= most
        else "more than a new ring, still within what is usual in service" if gap.gap_mm <= worn
        else "more than is usual in service"
    )  # fmt: skip
    return CalculationAnswer(
        (f"The gap is {{per}} of the bore: {place}. New it is {{least}} to {{most}}.",),
        (
            Result("per", "Gap, as a share of the bore", 100 * per, "%", (), 2),
            Result("least", "New, at least", least, "mm", ("in",), 2),
            Result("most", "New, at most", most, "mm", ("in",), 2),
            Result("worn", "In service, at most", worn, "mm", ("in",), 2),
        ),
        (gap.working(),),
        (
            "A ring whose ends meet when it is hot breaks or seizes the engine: never below the maker’s least gap.",
        ),
    )


SIDE = Field(
    "one-side",
    "Crushed solder, one side",
    "1.20",
    LENGTHS,
    "mm",
    0.05,
    20,
    "In line with the pin.",
    give_or_take="0.02",
    called=("solder on one side", "one side"),
)
SUMS = (
    Calculation(
        "squish",
        "What is the squish, from solder crushed on both sides?",
        "Cylinder",
        (
            SIDE,
            Field(
                "other-side",
                "Crushed solder, other side",
                "1.26",
                LENGTHS,
                "mm",
                0.05,
                20,
                give_or_take="0.02",
                called=("solder on the other side", "other side"),
            ),
            Field(
                "apart",
                "Distance between the two",
                "",
                LENGTHS,
                "mm",
                1,
                500,
                "For the lean; blank where it is not known.",
                optional=True,
            ),
        ),
        squish,
        "tickover.science.engine.cylinder.squish_mm",
        None,
        (OFF,),
    ),
    Calculation(
        "squish-speed",
        "How fast is the charge squeezed out of the squish band?",
        "Cylinder",
        (
            Field(
                "gap",
                "Squish",
                "1.2",
                LENGTHS,
                "mm",
                0.05,
                20,
                give_or_take="0.05",
                reading=("squish",),
                called=("squish clearance",),
            ),
            Field(
                "band",
                "Share of the piston under the band",
                "50",
                ("%",),
                "1",
                0.01,
                0.99,
                engine=lambda g: g.squish_band_fraction,
                called=("share of the band", "squish band"),
            ),
            BORE,
            STROKE,
            ROD,
            HEAD,
            RPM,
        ),
        squish_speed,
        "tickover.science.engine.squish_velocity.peak_squish",
    ),
    Calculation(
        "compression",
        "What are the compression ratios?",
        "Cylinder",
        (
            BORE,
            STROKE,
            HEAD,
            ROD,
            Field(
                "exhaust-opens",
                "Exhaust opens after top centre",
                "92",
                ("°",),
                "°",
                45,
                150,
                "For the trapped ratio.",
                optional=True,
                engine=lambda g: g.exhaust_opens_deg_atdc,
            ),
            Field(
                "whole",
                "Closed volume of the whole engine at bottom centre",
                "",
                ("cm3", "in3"),
                "cm3",
                10,
                10_000,
                "Crankcase, transfers and cylinder as one; for the crankcase ratio.",
                optional=True,
                engine=lambda g: g.case_volume_cm3,
                called=("whole volume", "closed volume"),
            ),
        ),
        compression_ratios,
        "tickover.science.engine.compression.compression",
    ),
    Calculation(
        "ring-gap",
        "Is the ring’s end gap right for the bore?",
        "Cylinder",
        (
            Field(
                "gap",
                "End gap of the ring in its bore",
                "0.30",
                LENGTHS,
                "mm",
                0.01,
                10,
                give_or_take="0.03",
                called=("ring gap",),
            ),
            BORE,
        ),
        gap_of_ring,
        "tickover.science.engine.cylinder.ring_gap",
    ),
)
