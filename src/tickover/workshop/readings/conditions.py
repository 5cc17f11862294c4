"""Was a test done as the sheet asks? Outside its conditions the result is not valid: neither inside nor outside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tickover.science.core.working import Quantity, Working
from tickover.science.measurement.verdict import MeasuringInstrument
from tickover.sheets import Condition, LimitRow
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.readings.input_fields import NUMBER_OF, InputField


@dataclass(frozen=True)
class Held:
    """A number of the test, None where it was not typed, held to its condition.

    `known_to` is what it cannot be told from, to both sides.
    """

    asked: InputField
    condition: Condition
    value: float | None
    known_to: float

    @property
    def met(self) -> bool:
        return self.value is not None and self._holds(self.value)

    @property
    def sentence(self) -> str:
        """What is wrong with the test, as a sentence."""
        unit = self.asked.unit
        asks = _span(self.condition.lower, self.condition.upper)
        if self.value is None:
            return f"{self.asked.label}: not typed, but this test needs {asks} {unit}."
        slip = ""
        if unit == "min" and self._holds(self.value / 60.0):
            slip = f" Were seconds meant? Then type {self.value / 60.0:.4g}."
        return f"{self.asked.label}: {self.value:.4g} {unit}, but this test needs {asks} {unit}.{slip}"

    def _holds(self, value: float) -> bool:
        lower, upper = self.condition.lower, self.condition.upper
        below = lower is not None and value < lower - self.known_to
        return not below and not (upper is not None and value > upper + self.known_to)


def held(
    limit: LimitRow, asks: tuple[InputField, ...], amounts: Mapping[str, float], gauge: Gauge | None
) -> tuple[Held, ...]:
    """Every condition of a limit with the number it is about."""
    by_name = {a.name: a for a in asks}
    wanted = ((by_name.get(NUMBER_OF + c.of), c) for c in limit.conditions)
    return tuple(_held(limit, asked, c, amounts.get(asked.name), gauge) for asked, c in wanted if asked)


def _held(
    limit: LimitRow, asked: InputField, condition: Condition, value: float | None, gauge: Gauge | None
) -> Held:
    return Held(asked, condition, value, 0.0 if value is None else _known_to(limit, asked, value, gauge))


def asked_for(limit: LimitRow, asked: InputField) -> str:
    """What the test asks a number to be, in words; "" for anything."""
    found = next((c for c in limit.conditions if NUMBER_OF + c.of == asked.name), None)
    return f"{_span(found.lower, found.upper)} {asked.unit}" if found else ""


def working(found: tuple[Held, ...]) -> Working:
    """The conditions with what each was."""
    return Working(
        title="Conditions of the test",
        formula="lower − a ≤ x ≤ upper + a",
        inputs=tuple(
            Quantity(
                h.asked.label,
                "not typed" if h.value is None else h.value,
                "" if h.value is None else h.asked.unit,
                f"asked for {_span(h.condition.lower, h.condition.upper)}, known to a = {h.known_to:.2g}",
            )
            for h in found
        ),
        result=Quantity("conditions", "met" if all(h.met for h in found) else "not met: not valid", ""),
        validity="a is the expanded uncertainty of the gauge (k = 2), else how well the number is known",
        source="the type sheet",
        authority="",
    )


def _known_to(limit: LimitRow, asked: InputField, value: float, gauge: Gauge | None) -> float:
    if not asked.gauged or (gauge is None and asked.unit != limit.unit):
        return asked.within
    if gauge is None:
        own = MeasuringInstrument(limit.resolution, limit.expanded_uncertainty)
    else:
        own = MeasuringInstrument(gauge.step(asked.unit), gauge.expanded_at(value, asked.unit))
    return 2.0 * own.standard_uncertainty


def _span(lower: float | None, upper: float | None) -> str:
    if lower is None or upper is None:
        return f"at most {upper:g}" if lower is None else f"at least {lower:g}"
    return f"{lower:g}" if lower == upper else f"{lower:g} to {upper:g}"
