"""Limits: what a reading is held against, how it is taken, and how far its instrument may be trusted."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, ValidationInfo, field_validator

from tickover.sheets.schema.drawings import DrawingName
from tickover.sheets.schema.rows import (
    Authority,
    BuildRow,
    Flag,
    Id,
    NotNegative,
    Number,
    Positive,
    Row,
    Text,
    Whole,
)

InstrumentKind = Literal[
    "depth-gauge",
    "feeler",
    "wire-gauge",
    "micrometer",
    "bore-gauge",
    "dial-gauge",
    "calliper",
    "rule",
    "torque-wrench",
    "pressure-gauge",
    "vacuum-gauge",
    "compression-gauge",
    "tachometer",
    "thermocouple",
    "ohmmeter",
    "belt-meter",
    "balancer",
    "scale",
    "load-cell",
    "marked-driver",
    "magnifier",
]
Computed = Literal[
    "squish-both-sides",
    "belt-tension",
    "pressure-loss",
    "offset-adapter",
    "ring-gap-per-bore",
    "track-spread",
    "",
]

COMPUTED_IN: dict[str, tuple[str, ...]] = {
    "squish-both-sides": ("mm",),
    "belt-tension": ("Hz", "N"),
    "pressure-loss": ("bar", "mbar", "kPa"),
    "offset-adapter": ("N.m",),
    "track-spread": ("mm",),
}
"""Units that a computed value may be held in, where not any will do."""
COMPUTED_FROM: dict[str, tuple[str, ...]] = {
    "squish-both-sides": ("side-a", "side-b"),
    "belt-tension": ("frequency", "span", "mass"),
    "pressure-loss": ("start", "end", "minutes", "start-temperature", "end-temperature", "air", "volume"),
    "offset-adapter": ("wrench-length", "offset", "setting"),
    "ring-gap-per-bore": ("gap", "bore"),
    "track-spread": (),
}
"""The numbers that a computed value comes from, each of which may have a condition."""
WAITED: dict[str, str] = {"minutes": "min", "seconds": "s"}
"""How long to wait, or to run, before a limit is read itself: what such a reading may have conditions of."""


class Condition(Row):
    """What a number of the test has to be for its result to count; `of` names it, in the unit it is asked in.

    Of a computed value its ends are met by what the gauge, or the clock, cannot tell from them. A limit that is read
    itself asks for the number beside it, by the words of `title`.
    """

    of: Id
    title: str = ""
    lower: Number | None = None
    upper: Number | None = Field(default=None, validate_default=True)

    @field_validator("upper")
    @classmethod
    def _has_an_end(cls, upper: float | None, info: ValidationInfo) -> float | None:
        lower = info.data.get("lower")
        if lower is None and upper is None and "lower" in info.data:
            raise ValueError("a condition needs a lower or an upper value, or both")
        if lower is not None and upper is not None and lower > upper:
            raise ValueError(f"the upper value {upper:g} is below the lower, {lower:g}; are they swapped?")
        return upper


class LimitRow(BuildRow):
    """What a reading is held against, in `unit`; `expanded_uncertainty` has coverage factor 2.

    `never_below` and `never_above` are what going beyond cannot be undone by reading again: a plastic flange, a stop
    temperature, an over-speed. They may be further out than `lower` and `upper`, never further in.

    `makers_figure`: only the maker can say it, so there is no figure here and none is supposed; no reading is judged
    before one is entered in its place.

    `rule` says how the instrument's uncertainty counts: "guarded" keeps it inside the limits, "simple"
    takes the reading as it stands. Of `repeats` readings that lie within `spread_max` of each other the one to
    `take` counts. `computed`: the value comes out of a sum of what was read. `drawing`: the picture that shows
    where to measure.
    """

    id: Id
    title: Text
    unit: Text
    makers_figure: Flag = False
    nominal: Number | None = None
    lower: Number | None = None
    upper: Number | None = Field(default=None, validate_default=True)
    never_below: Number | None = None
    never_above: Number | None = None
    plausible_lower: Number
    plausible_upper: Number
    low_means: str = ""
    high_means: str = ""
    instrument: Text
    instrument_kind: InstrumentKind | None = None
    resolution: Positive
    expanded_uncertainty: NotNegative
    rule: Literal["simple", "guarded"]
    repeats: Annotated[Whole, Field(ge=1)] = 1
    take: Literal["median", "last"] = "median"
    spread_max: Positive | None = None
    computed: Computed = ""
    conditions: tuple[Condition, ...] = ()
    drawing: DrawingName = ""
    action_outside: Text
    note: str = ""
    authority: Authority
    source: str = ""

    @property
    def may_depend_on(self) -> tuple[str, ...]:
        """The numbers that a condition may be of."""
        read_itself = not self.computed or (self.computed == "belt-tension" and self.unit == "Hz")
        return tuple(WAITED) if read_itself else COMPUTED_FROM[self.computed]

    @field_validator("upper")
    @classmethod
    def _limits_hold_the_nominal(cls, upper: float | None, info: ValidationInfo) -> float | None:
        lower, nominal = info.data.get("lower"), info.data.get("nominal")
        given = any(figure is not None for figure in (lower, upper, nominal))
        if info.data.get("makers_figure"):
            if given:
                raise ValueError(
                    "a figure is given; leave makers_figure out, and say where the figure is from"
                )
            return upper
        if lower is None and upper is None and "lower" in info.data:
            raise ValueError("a limit needs a lower or an upper value, or both")
        if lower is not None and upper is not None and lower > upper:
            raise ValueError(f"the upper value {upper:g} is below the lower, {lower:g}; are they swapped?")
        if nominal is not None and not _between(nominal, lower, upper):
            raise ValueError(f"the nominal value {nominal:g} is outside {_span(lower, upper)}")
        return upper

    @field_validator("never_below")
    @classmethod
    def _never_below_is_no_limit_of_use(cls, never: float | None, info: ValidationInfo) -> float | None:
        least = _first(info.data, "lower", "nominal", "upper")
        if never is not None and least is not None and never > least:
            raise ValueError(f"never_below {never:g} is above {least:g}, which the limit allows")
        return never

    @field_validator("never_above")
    @classmethod
    def _never_above_is_no_limit_of_use(cls, never: float | None, info: ValidationInfo) -> float | None:
        most = _first(info.data, "upper", "nominal", "lower")
        if never is not None and most is not None and never < most:
            raise ValueError(f"never_above {never:g} is below {most:g}, which the limit allows")
        return never

    @field_validator("conditions")
    @classmethod
    def _one_condition_for_a_number(cls, conditions: tuple[Condition, ...]) -> tuple[Condition, ...]:
        names = [condition.of for condition in conditions]
        if twice := next((name for name in names if names.count(name) > 1), ""):
            raise ValueError(f'"{twice}" has two conditions; write one with both ends')
        return conditions

    @field_validator("spread_max")
    @classmethod
    def _a_spread_needs_two(cls, spread: float | None, info: ValidationInfo) -> float | None:
        if spread is not None and info.data.get("repeats", 2) < 2:
            raise ValueError("one reading has no spread; say repeats = 3, or leave spread_max out")
        return spread

    @field_validator("plausible_upper")
    @classmethod
    def _plausible_holds_the_limits(cls, widest: float, info: ValidationInfo) -> float:
        least = info.data.get("plausible_lower")
        for name in ("lower", "upper"):
            value = info.data.get(name)
            if least is not None and value is not None and not least <= value <= widest:
                raise ValueError(f"the {name} value {value:g} is not within {least:g} to {widest:g}")
        return widest


def _first(given: dict[str, Any], *names: str) -> float | None:
    return next((given[name] for name in names if given.get(name) is not None), None)


def _between(value: float, lower: float | None, upper: float | None) -> bool:
    return (lower is None or lower <= value) and (upper is None or value <= upper)


def _span(lower: float | None, upper: float | None) -> str:
    if lower is None or upper is None:
        return f"its limit, at most {upper:g}" if lower is None else f"its limit, at least {lower:g}"
    return f"{lower:g} to {upper:g}"
