"""What the tuning card says of an engine: the next step, and the margin for colder air."""

from __future__ import annotations

import math
from dataclasses import dataclass

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
USUAL_HUMIDITY = 0.5
NO_MARGIN = "Note air temperature, pressure, fuel and oil with the run-up, then the margin for colder air is computed."


@dataclass(frozen=True)
class TuningCard:
    """Where the needles stand, what comes next, and how much the coldest air wants; `margin_not` says why not."""

    now: needle_setting.Needles | None
    step: needle_setting.NeedleStep
    spans: dict[str, tuple[float, float]]
    margin: NeedleAdvice | None
    margin_not: str

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
    margin, why_not = (None, "") if step.stop else _margin(now, run, coldest)
    return TuningCard(now, step, spans, margin, why_not)


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


def _margin(
    now: needle_setting.Needles | None, run: RunUp | None, coldest: str
) -> tuple[NeedleAdvice | None, str]:
    if not coldest.strip():
        return None, ""
    if now is None or run is None or run.air_c is None or run.pressure_hpa is None or not run.fuel:
        return None, NO_MARGIN
    if run.petrol_to_oil is None:
        return None, NO_MARGIN
    try:
        coldest_k = float(coldest.replace(",", ".")) + KELVIN
        wet = USUAL_HUMIDITY if run.humidity_percent is None else run.humidity_percent / 100.0
        air = AirOfTheDay(run.air_c + KELVIN, run.pressure_hpa * 100.0, wet)
        setting = Setting(now.high, air, Premix(FUELS[run.fuel], run.petrol_to_oil))
        return needle_setting.cold_margin(now.high, air, setting, coldest_k), ""
    except OutOfRangeError as error:
        return None, f"{error}."
    except ValueError:
        return None, f'"{coldest[:20]}" is not a temperature. Type degrees Celsius, such as -5.'
