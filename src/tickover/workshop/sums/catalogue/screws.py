"""Sums on screws: adapter, preload, order."""

from __future__ import annotations

from tickover.science.clamping import clamping
from tickover.science.fasteners import offset_adapter_setting_nm
from tickover.science.threads import PROOF_STRESS_MPA
from tickover.science.tightening import PATTERNS, tightening
from tickover.science.working import Quantity, Working
from tickover.sheets.joints import Fasteners
from tickover.workshop.pictures.screws import screw_pattern
from tickover.workshop.sums.catalogue.asking import TORQUES, number, one
from tickover.workshop.sums.sum import Answer, Field, Result, Sum, Values

MAKERS = "The maker’s torque, lubricant and order come first. Never reuse a locking nut or a stretched screw."
MOST_DRAWN = 24
PASSES = {"half-full": (0.5, 1.0), "three": (1 / 3, 2 / 3, 1.0), "one": (1.0,)}


def adapter(values: Values) -> Answer:
    target, length, offset, angle = (number(values, name) for name in ("target", "wrench", "offset", "angle"))
    setting = one(offset_adapter_setting_nm(target, length, offset, angle))
    return Answer(
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


def preload(values: Values) -> Answer:
    names = ("torque", "diameter", "pitch", "bearing")
    grade = str(values["class"])
    held = clamping(
        *(number(values, name) for name in names),
        friction_least=number(values, "friction-least"),
        friction_most=number(values, "friction-most"),
        tool_share=number(values, "tool"),
        property_class=None if grade == "none" else grade,
    )
    results = [
        Result(
            "middle",
            "Preload",
            one(held.middle_n) / 1e3,
            "kN",
            ("lbf",),
            3,
            one(held.least_n) / 1e3,
            one(held.most_n) / 1e3,
        ),
        Result("scatter", "Most over least preload", one(held.scatter), "", (), 3),
    ]
    sentences = [
        "The screw clamps with {middle}: the same torque may give {scatter} times as much as it gives at least."
    ]
    if grade != "none":
        results.append(
            Result("proof", "Most preload over proof load", 100 * one(held.proof_share), "%", (), 3)
        )
        sentences.append("At most that is {proof} of what it bears without lasting stretch.")
    return Answer(tuple(sentences), tuple(results), (held.working(),))


def order(values: Values) -> Answer:
    plan = tightening(
        int(number(values, "count")),
        number(values, "torque"),
        pattern=str(values["pattern"]),
        passes=PASSES[str(values["passes"])],
    )
    places = ", ".join(str(place + 1) for place in plan.order)
    passes = tuple(
        Result(f"pass-{at}", f"Pass {at}", torque, "N.m", ("in-lb",), 3)
        for at, torque in enumerate(plan.passes_nm, 1)
    )
    told = ", then ".join(f"{{{result.id}}}" for result in passes)
    return Answer(
        (f"Tighten {places}, first to {told}." if len(passes) > 1 else f"Tighten {places}, to {told}.",
         "Loosen " + ", ".join(str(place + 1) for place in plan.loosening) + ".",
            "Places are counted clockwise from the first; the picture numbers the moves of the wrench."),
        passes,
        (plan.working(),),
    )  # fmt: skip


def draw(values: Values) -> str:
    """The screws with their places in the order; a row from its middle is told in words only."""
    pattern, count = str(values["pattern"]), int(number(values, "count"))
    if pattern not in ("x", "ring", "pair") or count > MOST_DRAWN:
        return ""
    return screw_pattern(
        Fasteners.model_validate(
            {
                "count": count,
                "size": "screws",
                "pattern": pattern,
                "torque_nm": number(values, "torque"),
                "passes": PASSES[str(values["passes"])],
                "standing": "common practice, no source",
            }
        )
    )


TORQUE = Field("torque", "Torque", "10", TORQUES, "N.m", 0.05, 500, called=("torque",))
SUMS = (
    Sum(
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
        "tickover.science.fasteners.offset_adapter_setting_nm",
        None,
        (MAKERS,),
    ),
    Sum(
        "screw-preload",
        "How hard does a screw clamp at a torque, and how surely?",
        "Screws",
        (
            TORQUE,
            Field(
                "diameter",
                "Diameter of the thread",
                "6",
                ("mm",),
                "mm",
                1.6,
                30.0,
                called=("thread diameter",),
            ),
            Field("pitch", "Pitch", "1", ("mm",), "mm", 0.2, 4.0, called=("pitch", "thread pitch")),
            Field(
                "bearing",
                "Mean diameter of the face that turns",
                "8.5",
                ("mm",),
                "mm",
                2.0,
                60.0,
                "Half of outer diameter and hole together.",
                called=("bearing",),
            ),
            Field(
                "friction-least",
                "Friction, least",
                "0.10",
                lower=0.02,
                upper=0.6,
                hint="0.10 to 0.16 for clean steel, lightly oiled: a judgement.",
                called=("friction",),
            ),
            Field(
                "friction-most", "Friction, most", "0.16", lower=0.02, upper=0.6, called=("most friction",)
            ),
            Field("tool", "Wrench, plus and minus", "4", ("%",), "1", 0.0, 0.4),
            Field(
                "class",
                "Property class",
                "8.8",
                wants=(("none", "Not known"), *((name, name) for name in PROOF_STRESS_MPA)),
            ),
        ),
        preload,
        "tickover.science.clamping.clamping",
        None,
        (MAKERS,),
    ),
    Sum(
        "tightening-order",
        "In what order, and how far in each pass, are the screws of a joint tightened?",
        "Screws",
        (
            Field(
                "count",
                "Screws",
                "4",
                lower=1,
                upper=200,
                whole=True,
                hint="Counted clockwise from the top; in a row from one end.",
            ),
            Field(
                "pattern",
                "Order",
                "x",
                wants=tuple((name, words.capitalize()) for name, words in PATTERNS.items()),
            ),
            TORQUE,
            Field(
                "passes",
                "Passes",
                "half-full",
                wants=(
                    ("half-full", "Half, then full"),
                    ("three", "A third, two thirds, full"),
                    ("one", "Full at once"),
                ),
            ),
        ),
        order,
        "tickover.science.tightening.tightening",
        draw,
        (MAKERS,),
    ),
)
