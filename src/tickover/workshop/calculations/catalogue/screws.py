"""Calculations on screws: preload, order."""

from __future__ import annotations

from tickover.science.fasteners.preload_scatter import clamping
from tickover.science.fasteners.threads import PROPERTY_CLASSES, coarse_pitch_mm
from tickover.science.fasteners.tightening_sequence import COUNTED, PATTERNS, tightening
from tickover.sheets.schema.joints import Fasteners
from tickover.workshop.calculations.asking import TORQUES, number, one, perhaps
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values
from tickover.workshop.calculations.catalogue.wrench import MAKERS
from tickover.workshop.drawings.screws import screw_pattern

MOST_DRAWN = 24
PASSES = {"half-full": (0.5, 1.0), "three": (1 / 3, 2 / 3, 1.0), "one": (1.0,)}


def preload(values: Values) -> CalculationAnswer:
    torque, diameter, bearing = (number(values, name) for name in ("torque", "diameter", "bearing"))
    pitch = perhaps(values, "pitch")
    grade = str(values["class"])
    held = clamping(
        torque,
        diameter,
        coarse_pitch_mm(diameter) if pitch is None else pitch,
        bearing,
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
    return CalculationAnswer(tuple(sentences), tuple(results), (held.working(),))


def order(values: Values) -> CalculationAnswer:
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
    sentence = ", then ".join(f"{{{result.id}}}" for result in passes)
    counted = COUNTED[plan.pattern == "middle"]
    drawn = " The picture numbers the moves of the wrench." if _is_drawn(values) else ""
    return CalculationAnswer(
        (f"Tighten {places}, first to {sentence}." if len(passes) > 1 else f"Tighten {places}, to {sentence}.",
         "Loosen " + ", ".join(str(place + 1) for place in plan.loosening) + ".",
            f"Places are counted {counted} from the first.{drawn}"),
        passes,
        (plan.working(),),
    )  # fmt: skip


def _is_drawn(values: Values) -> bool:
    return values["pattern"] != "middle" and number(values, "count") <= MOST_DRAWN


def draw(values: Values) -> str:
    """The screws with their places in the order; a row from its middle is told in words only."""
    if not _is_drawn(values):
        return ""
    return screw_pattern(
        Fasteners.model_validate(
            {
                "count": int(number(values, "count")),
                "size": "screws",
                "pattern": str(values["pattern"]),
                "torque_nm": number(values, "torque"),
                "passes": PASSES[str(values["passes"])],
                "authority": "common practice, no source",
            }
        )
    )


TORQUE = Field("torque", "Torque", "10", TORQUES, "N.m", 0.1, 500, called=("torque",))
SUMS = (
    Calculation(
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
                called=("diameter of the thread",),
            ),
            Field(
                "pitch",
                "Pitch",
                "1",
                ("mm",),
                "mm",
                0.2,
                4.0,
                "Blank for the coarse thread of that diameter.",
                optional=True,
                called=("pitch",),
            ),
            Field(
                "bearing",
                "Mean diameter of the face that turns",
                "8.5",
                ("mm",),
                "mm",
                2.0,
                60.0,
                "Half of outer diameter and hole together.",
                called=("mean diameter under the head",),
            ),
            Field(
                "friction-least",
                "Friction, least",
                "0.10",
                lower=0.02,
                upper=0.6,
                hint="0.10 to 0.16 for clean steel, lightly oiled: a judgement.",
                called=("least friction",),
            ),
            Field(
                "friction-most", "Friction, most", "0.16", lower=0.02, upper=0.6, called=("most friction",)
            ),
            Field("tool", "Wrench, plus and minus", "4", ("%",), "1", 0.0, 0.4),
            Field(
                "class",
                "Property class",
                "8.8",
                wants=(("none", "Not known"), *((name, name) for name in PROPERTY_CLASSES)),
            ),
        ),
        preload,
        "tickover.science.fasteners.preload_scatter.clamping",
        None,
        (MAKERS,),
    ),
    Calculation(
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
        "tickover.science.fasteners.tightening_sequence.tightening",
        draw,
        (MAKERS,),
    ),
)
