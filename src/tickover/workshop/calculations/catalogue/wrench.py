"""Calculations on the torque wrench: what it is set to, and what a bolt takes."""

from __future__ import annotations

from tickover.science.core.working import Quantity, Working
from tickover.science.fasteners.bolt_torques import NUTS, THREADS, bolt_torque
from tickover.science.fasteners.preload_and_torque import offset_adapter_setting_nm
from tickover.workshop.calculations.asking import TORQUES, number, one
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

MAKERS = "The maker’s torque, lubricant and order come first. Never reuse a locking nut or a stretched screw."
HUB = "This table is not for a propeller on a wood hub, a plug, or a screw in aluminium: those strip or crush first."


def adapter(values: Values) -> CalculationAnswer:
    target, length, offset, angle = (number(values, name) for name in ("target", "wrench", "offset", "angle"))
    setting = one(offset_adapter_setting_nm(target, length, offset, angle))
    return CalculationAnswer(
        ("Set the wrench to {setting}.",),
        (Result("setting", "Setting of the wrench", setting, "N.m", ("in-lb", "ft-lb"), 4),),
        (
            Working(
                "setting of the wrench with an adapter",
                "S = T L/(L + x cos α)",
                (
                    Quantity("torque at the nut T", target, "N.m"),
                    Quantity("wrench, hand to square L", length, "m"),
                    Quantity("adapter, square to nut x", offset, "m"),
                    Quantity("angle of the adapter α", angle, "°"),
                ),
                Quantity("setting S", setting, "N.m"),
                "one hand at the middle of the grip, wrench and adapter in one plane; no click wrench below a fifth "
                "of its range",
                "lever arms, as in NAVEDTRA 14315 and US Army TM 9-254",
                "mechanics",
            ),
        ),
    )


def steel_bolt(values: Values) -> CalculationAnswer:
    bolt = bolt_torque(str(values["thread"]), str(values["nut"]), number(values, "drag"))
    return CalculationAnswer(
        ("Tighten the nut to {least} to {most}; never above {allowed}.",),
        (
            Result("least", "Recommended, at least", bolt.least_nm, "N.m", ("in-lb",), 3),
            Result("most", "Recommended, at most", bolt.most_nm, "N.m", ("in-lb",), 3),
            Result("allowed", "Most allowed", bolt.allowed_nm, "N.m", ("in-lb",), 3),
        ),
        (bolt.working(),),
    )


SUMS = (
    Calculation(
        "torque-adapter",
        "What is the wrench set to with an adapter on it?",
        "Screws",
        (
            Field("target", "Torque at the nut", "22", TORQUES, "N.m", 0.05, 500, called=("torque",)),
            Field(
                "wrench",
                "Wrench, hand to square",
                "300",
                ("mm", "in"),
                "m",
                0.05,
                2.0,
                give_or_take="10",
                called=("wrench length", "length of the wrench"),
            ),
            Field(
                "offset",
                "Adapter, square to nut",
                "60",
                ("mm", "in"),
                "m",
                0.0,
                0.5,
                give_or_take="1",
                called=("offset",),
            ),
            Field(
                "angle",
                "Adapter to wrench",
                "0",
                ("°",),
                "°",
                0.0,
                180.0,
                "0 straight out, 90 across, 180 folded back.",
                called=("adapter",),
            ),
        ),
        adapter,
        "tickover.science.fasteners.preload_and_torque.offset_adapter_setting_nm",
        None,
        (MAKERS,),
    ),
    Calculation(
        "bolt-torque",
        "Which torque does a steel aircraft bolt of inch thread take?",
        "Screws",
        (
            Field("thread", "Thread", "1/4-28", wants=tuple((thread, thread) for thread in THREADS)),
            Field(
                "nut",
                "Nut",
                NUTS[0],
                wants=((NUTS[0], "Full nut, for tension"), (NUTS[1], "Thin nut, for shear")),
            ),
            Field(
                "drag",
                "Friction drag of the nut",
                "0",
                TORQUES,
                "N.m",
                0.0,
                50.0,
                "What turns a self-locking nut before it bears.",
                called=("friction drag",),
            ),
        ),
        steel_bolt,
        "tickover.science.fasteners.bolt_torques.bolt_torque",
        None,
        (MAKERS, HUB),
    ),
)
