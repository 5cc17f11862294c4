"""Calculations on the drive: belt, gear, and what the sound shows."""

from __future__ import annotations

from tickover.science.core.working import Quantity, Working
from tickover.science.engine.drive import belt_tone, gear_ratio, line_table, lines_hz, propeller_rpm
from tickover.workshop.calculations.asking import RPM, number, one, perhaps
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

LENGTHS = ("mm", "in", "m")


def belt(values: Values) -> CalculationAnswer:
    tone = belt_tone(*(number(values, name) for name in ("span", "mass", "frequency")), u_frequency_hz=0.0)
    return CalculationAnswer(
        ("The span is under {tension}.",),
        (Result("tension", "Tension of the span", one(tone.tension_n), "N", ("lbf",), 3),),
        (tone.working(),),
        ("Engine stopped, ignition earthed, fingers out of the drive before anybody turns it.",),
    )


def sound_lines(values: Values) -> CalculationAnswer:
    rpm, blades = number(values, "rpm"), int(number(values, "blades"))
    driver, driven = perhaps(values, "driver"), perhaps(values, "driven")
    counted = None if driver is None or driven is None else one(gear_ratio(driver, driven))
    ratio = number(values, "ratio") if counted is None else counted
    teeth = None if driver is None else int(driver)
    lines = lines_hz(rpm, ratio, blades, teeth)
    titles = {
        "firing": "Firing",
        "half rate": "Half rate (four-stroking)",
        "propeller": "Propeller, one a turn",
    }
    titles |= {"blade pass": "Blades passing", "gear mesh": "Gear mesh"}
    results = [
        Result(name.replace(" ", "-"), words, one(lines[name]), "Hz", (), 4)
        for name, words in titles.items()
        if name in lines
    ]
    results.append(Result("turns", "Speed of the propeller", one(propeller_rpm(rpm, ratio)), "rpm", (), 4))
    results.append(Result("ratio", "Turns of the crank for one of the propeller", ratio, "", (), 4))
    table = tuple(
        (f"{line.hz:.1f} Hz", ", ".join(line.names))
        for line in line_table(rpm, ratio, blades, teeth, orders=4)
    )
    return CalculationAnswer(
        ("The engine fires at {firing}; the blades pass at {blade-pass}, the propeller turning at {turns}.",),
        tuple(results),
        (_lines_working(rpm, ratio, blades, one(lines["blade pass"])),),
        (),
        table,
    )


def _lines_working(rpm: float, ratio: float, blades: int, hz: float) -> Working:
    return Working(
        "tone of the blades",
        "f = rpm/60/ratio · blades; firing = rpm/60, half rate = rpm/120, mesh = rpm/60 · teeth",
        (Quantity("engine speed", rpm, "rpm"), Quantity("ratio", ratio, ""), Quantity("blades", blades, "")),
        Quantity("blades passing f", hz, "Hz"),
        "one cylinder, two-stroke; causes on one frequency cannot be separated",
        "",
        "arithmetic",
    )


SUMS = (
    Calculation(
        "belt-tension",
        "How tight is the belt, by its tone?",
        "Drive",
        (
            Field(
                "span",
                "Free span",
                "180",
                LENGTHS,
                "m",
                0.01,
                5.0,
                "Tangent point to tangent point.",
                give_or_take="1",
                engine=lambda g: g.belt_span_m,
                called=("free span",),
            ),
            Field(
                "mass",
                "Mass of a metre of belt, whole width",
                "60",
                ("g/m", "kg/m"),
                "kg/m",
                0.0001,
                10.0,
                engine=lambda g: g.belt_mass_kg_per_m,
                called=("mass of the belt",),
            ),
            Field(
                "frequency",
                "Lowest tone",
                "150",
                ("Hz",),
                "Hz",
                2.0,
                5_000.0,
                give_or_take="3",
                reading=("belt-frequency",),
                called=("frequency",),
            ),
        ),
        belt,
        "tickover.science.engine.drive.belt_tone",
    ),
    Calculation(
        "engine-lines",
        "What does the sound show: which line belongs to what?",
        "Drive",
        (
            RPM,
            Field(
                "ratio",
                "Turns of the crank for one of the propeller",
                "2.5",
                ratio=True,
                lower=0.5,
                upper=10,
                engine=lambda g: g.gear_ratio,
                called=("ratio",),
            ),
            Field(
                "driver",
                "Teeth of the wheel on the crank",
                "",
                lower=5,
                upper=200,
                whole=True,
                hint="With both counts the ratio is counted, not typed. Blank for a belt.",
                optional=True,
                engine=lambda g: g.gear_teeth_driver,
                called=("teeth",),
            ),
            Field(
                "driven",
                "Teeth of the wheel on the propeller’s shaft",
                "",
                lower=5,
                upper=400,
                whole=True,
                optional=True,
            ),
            Field(
                "blades", "Blades", "2", lower=1, upper=12, whole=True, engine=lambda g: g.propeller.blades
            ),
        ),
        sound_lines,
        "tickover.science.engine.drive.line_table",
    ),
)
