"""Calculations on the crank: ports, ignition point, piston speed."""

from __future__ import annotations

import numpy as np

from tickover.science.engine.crank import piston_acceleration_m_s2, piston_at, piston_moved, piston_speed_m_s
from tickover.science.engine.cylinder import mean_piston_speed_m_s
from tickover.science.engine.port_timing import edge_from_deck_mm, open_for_deg, port_timing
from tickover.workshop.calculations.asking import LENGTHS, ROD, RPM, STROKE, number, one
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

OFF = "Plug out, ignition earthed, turned by hand only."
EXCHANGED = "The transfers would open before the exhaust: were the two exchanged?"


def ports(values: Values) -> CalculationAnswer:
    names = ("exhaust-edge", "transfer-edge", "stroke", "rod", "deck")
    timing = port_timing(*(number(values, name) for name in names))
    return CalculationAnswer(
        ("The exhaust is open for {exhaust}, the transfers for {transfer}; blowdown is {blowdown}.",),
        (
            Result("exhaust", "Exhaust open for", one(timing.exhaust_deg), "°", (), 4),
            Result("transfer", "Transfers open for", one(timing.transfer_deg), "°", (), 4),
            Result("blowdown", "Blowdown", one(timing.blowdown_deg), "°", (), 3),
            Result(
                "exhaust-opens", "Exhaust opens after top centre", one(timing.exhaust_opens_deg), "°", (), 4
            ),
            Result(
                "transfer-opens",
                "Transfers open after top centre",
                one(timing.transfer_opens_deg),
                "°",
                (),
                4,
            ),
        ),
        (timing.working(),),
        (EXCHANGED,) if one(timing.blowdown_deg) <= 0 else (),
    )


def edges(values: Values) -> CalculationAnswer:
    opens = [number(values, f"{port}-opens") for port in ("exhaust", "transfer")]
    geometry = [number(values, name) for name in ("stroke", "rod", "deck")]
    heights = [one(edge_from_deck_mm(angle, *geometry)) for angle in opens]
    spans = [one(open_for_deg(angle)) for angle in opens]
    timing = port_timing(*heights, *geometry)
    swapped = (EXCHANGED,) if one(timing.blowdown_deg) <= 0 else ()
    return CalculationAnswer(
        ("Upper edges below the deck: exhaust {exhaust}, transfers {transfer}.",),
        (
            Result("exhaust", "Edge of the exhaust below the deck", heights[0], "mm", ("in",), 4),
            Result("transfer", "Edge of the transfers below the deck", heights[1], "mm", ("in",), 4),
            Result("exhaust-span", "Exhaust open for", spans[0], "°", (), 4),
            Result("transfer-span", "Transfers open for", spans[1], "°", (), 4),
        ),
        (timing.working(),),
        swapped,
    )


def ignition_height(values: Values) -> CalculationAnswer:
    place = piston_at(number(values, "before-top"), number(values, "stroke"), number(values, "rod"))
    return CalculationAnswer(
        ("Set the piston {height} before top centre.",),
        (Result("height", "Piston before top centre", one(place.travel_mm), "mm", ("in",), 3),),
        (place.working(),),
        (OFF,),
    )


def ignition_angle(values: Values) -> CalculationAnswer:
    place = piston_moved(number(values, "height"), number(values, "stroke"), number(values, "rod"))
    return CalculationAnswer(
        ("That is {angle} before top centre.",),
        (Result("angle", "Crank before top centre", one(place.crank_deg), "°", (), 3),),
        (place.working(),),
        (OFF,),
    )


def piston_speed(values: Values) -> CalculationAnswer:
    stroke, rod, rpm = (number(values, name) for name in ("stroke", "rod", "rpm"))
    angles = np.linspace(0.0, 180.0, 721)
    speeds = piston_speed_m_s(angles, stroke, rod, rpm)
    fastest = int(np.argmax(speeds))
    place = piston_at(angles[fastest], stroke, rod)
    pull = one(piston_acceleration_m_s2(0.0, stroke, rod, rpm))
    return CalculationAnswer(
        ("The piston moves at {mean} on average, at most at {most}, {angle} after top centre.",),
        (
            Result("mean", "Mean speed", one(mean_piston_speed_m_s(stroke, rpm)), "m/s", ("ft/min",), 3),
            Result("most", "Greatest speed", float(speeds[fastest]), "m/s", ("ft/min",), 3),
            Result("angle", "Where it is greatest, after top centre", float(angles[fastest]), "°", (), 3),
            Result("pull", "Acceleration at top centre", pull, "m/s²", (), 3),
        ),
        (place.working(),),
    )


DECK = Field(
    "deck",
    "Crown below the deck at top centre",
    "0",
    LENGTHS,
    "mm",
    -20,
    50,
    "Below 0 if it is above.",
    called=("deck",),
)
SUMS = (
    Calculation(
        "port-timing",
        "When do the ports open, from the height of their edges?",
        "Crank and ports",
        (
            Field(
                "exhaust-edge",
                "Edge of the exhaust below the deck",
                "32",
                LENGTHS,
                "mm",
                1,
                300,
                give_or_take="0.1",
                called=("exhaust",),
            ),
            Field(
                "transfer-edge",
                "Edge of the transfers below the deck",
                "41",
                LENGTHS,
                "mm",
                1,
                300,
                give_or_take="0.1",
                called=("transfer",),
            ),
            STROKE,
            ROD,
            DECK,
        ),
        ports,
        "tickover.science.engine.port_timing.port_timing",
    ),
    Calculation(
        "port-edges",
        "Where are the edges of the ports, from their timing?",
        "Crank and ports",
        (
            Field(
                "exhaust-opens",
                "Exhaust opens after top centre",
                "92",
                ("°",),
                "°",
                45,
                170,
                engine=lambda g: g.exhaust_opens_deg_atdc,
            ),
            Field(
                "transfer-opens",
                "Transfers open after top centre",
                "115",
                ("°",),
                "°",
                45,
                175,
                engine=lambda g: g.transfer_opens_deg_atdc,
            ),
            STROKE,
            ROD,
            DECK,
        ),
        edges,
        "tickover.science.engine.port_timing.edge_from_deck_mm",
    ),
    Calculation(
        "ignition-height",
        "How many millimetres before top centre is an ignition angle?",
        "Crank and ports",
        (
            Field(
                "before-top",
                "Crank before top centre",
                "20",
                ("°",),
                "°",
                0,
                180,
                give_or_take="1",
                reading=("timing",),
                called=("crank angle",),
            ),
            STROKE,
            ROD,
        ),
        ignition_height,
        "tickover.science.engine.crank.piston_at",
    ),
    Calculation(
        "ignition-angle",
        "How many degrees before top centre is a height of the piston?",
        "Crank and ports",
        (
            Field(
                "height",
                "Piston before top centre",
                "2",
                LENGTHS,
                "mm",
                0,
                300,
                give_or_take="0.05",
                called=("travel", "way of the piston"),
            ),
            STROKE,
            ROD,
        ),
        ignition_angle,
        "tickover.science.engine.crank.piston_moved",
    ),
    Calculation(
        "piston-speed",
        "How fast does the piston move?",
        "Crank and ports",
        (STROKE, ROD, RPM),
        piston_speed,
        "tickover.science.engine.cylinder.mean_piston_speed_m_s",
    ),
)
