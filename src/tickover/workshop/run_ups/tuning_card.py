"""What the tuning card says of an engine: the next step, and the margin for colder air."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tickover.science.atmosphere.moist_air import ASSUMED_HUMIDITY, U_ANY_HUMIDITY
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fuel_system.fuels import FUELS, Premix
from tickover.science.fuel_system.mixture_advice import NeedleAdvice
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.run_up import needle_setting
from tickover.sheets import TypeSheet
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import queries
from tickover.workshop.run_ups.models import NeedleNote, RunUp
from tickover.workshop.run_ups.uploads.evidence import limits_of

KELVIN = 273.15
ASSUMED = (
    "Humidity was not noted with the run-up: 50 % assumed. In dry air the mixture changes by {dry:+.1f} %, "
    "in saturated air by {saturated:+.1f} %."
)
Margin = tuple[NeedleAdvice | None, str, str]
NO_ANSWER: Margin = (None, "", "")
NO_MARGIN = "Record air temperature, pressure, fuel and oil with the run-up to get the margin for colder air."


@dataclass(frozen=True)
class TuningCard:
    """Where the needles stand, what comes next, and how much the coldest air wants.

    `margin_not` says why there is no margin, `margin_assumes` what was assumed for it; "" for nothing.
    """

    now: needle_setting.Needles | None
    step: needle_setting.NeedleStep
    spans: dict[str, tuple[float, float]]
    margin: NeedleAdvice | None
    margin_not: str
    margin_assumes: str = ""

    @property
    def usual(self) -> str:
        """Usual turns by the type sheet; "" where it has none."""
        return ", ".join(f"{name} {needle_setting.span_words(*span)}" for name, span in self.spans.items())

    @property
    def target(self) -> str:
        """Where the screw stands after the step, in turns and eighths."""
        if not self.now or not self.step.screw:
            return ""
        turns = self.now.low if self.step.screw == "low" else self.now.high
        return needle_setting.eighths(turns + self.step.turns)


def card_of(engine: Engine, opened: queries.Opened | None, coldest: str) -> TuningCard:
    """The card of an engine; `coldest` is the coldest air it will be flown in, as typed. [°C]"""
    notes = queries.needle_notes(engine)
    run = opened.line.run if opened else None
    now = (
        _needles(notes[0])
        if notes and (run is None or notes[0].entry_sequence > run.entry_sequence)
        else None
    )
    run_at = _needles(run) if run else None
    now = now or run_at or (_needles(notes[0]) if notes else None)
    sheet = register.build_of(engine)
    spans = _spans(sheet)
    found = opened.findings if opened else ()
    step = needle_setting.next_step(
        now, opened.read.run if opened else None, found, run_at, spans, warm_c=_warm_c(sheet)
    )
    margin = NO_ANSWER if step.stop else _margin(now, run, coldest)
    return TuningCard(now, step, spans, *margin)


def _needles(row: NeedleNote | RunUp) -> needle_setting.Needles | None:
    if row.turns_low is None or row.turns_high is None:
        return None
    return needle_setting.Needles(row.turns_low, row.turns_high)


def _spans(sheet: TypeSheet) -> dict[str, tuple[float, float]]:
    rows = {limit.id: limit for limit in sheet.limits}
    wanted = {name: rows.get(f"needle-{name}") for name in ("low", "high")}
    return {
        name: (row.lower or 0.0, math.inf if row.upper is None else row.upper)
        for name, row in wanted.items()
        if row is not None
    }


def _warm_c(sheet: TypeSheet) -> float | None:
    """Lowest head temperature of the type in use. [°C]"""
    limit = limits_of(sheet).get("cht")
    return limit.lower if limit else None


def _margin(now: needle_setting.Needles | None, run: RunUp | None, coldest: str) -> Margin:
    if not coldest.strip():
        return NO_ANSWER
    if now is None or run is None or run.air_c is None or run.pressure_hpa is None or not run.fuel:
        return None, NO_MARGIN, ""
    if run.petrol_to_oil is None:
        return None, NO_MARGIN, ""
    try:
        coldest_k = float(coldest.replace(",", ".")) + KELVIN
        air = AirOfTheDay(run.air_c + KELVIN, run.pressure_hpa * 100.0, (run.humidity_percent or 0.0) / 100.0)
        setting = Setting(now.high, air, Premix(FUELS[run.fuel], run.petrol_to_oil))
        if run.humidity_percent is not None:
            return needle_setting.cold_margin(now.high, air, setting, coldest_k), "", ""
        assumed = replace(air, humidity=ASSUMED_HUMIDITY, u_humidity=U_ANY_HUMIDITY)
        margin = needle_setting.cold_margin(now.high, assumed, setting, coldest_k)
        ends = (
            needle_setting.cold_margin(now.high, replace(air, humidity=wet), setting, coldest_k)
            for wet in (0, 1)
        )
        dry, saturated = (end.change.percent for end in ends)
        return margin, "", ASSUMED.format(dry=dry, saturated=saturated)
    except OutOfRangeError as error:
        return None, f"{error}.", ""
    except ValueError:
        return None, f'"{coldest[:20]}" is not a temperature. Type degrees Celsius, such as -5.', ""
