"""The plain rows of a type sheet: builds, geometry, limits, parts, kits, tasks and access.

Numbers are never read from text and never infinite, so that a slip of the pen is told and not repaired.
`builds = []` on a row means every build of the sheet.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationInfo, field_validator

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[Number, Field(gt=0)]
NotNegative = Annotated[Number, Field(ge=0)]
Whole = Annotated[int, Field(strict=True, ge=0)]
Flag = Annotated[bool, Field(strict=True)]
Standing = Literal["maker", "rule", "common practice, no source", "own data", "from memory", "standard"]

NO_BUILD = "none"
"""In a kit piece's `builds`: the piece is in the bag but belongs to another engine or carburettor."""


class Row(BaseModel):
    """A frozen table of the sheet that refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class BuildRow(Row):
    """A row that may apply to some builds only."""

    builds: tuple[Id, ...] = ()

    def on(self, build_id: str) -> bool:
        """Whether the row applies to that build."""
        return not self.builds or build_id in self.builds


class Build(Row):
    """One build of the engine: its serial numbers and how it is told from the others by eye."""

    id: Id
    title: Text
    serial_from: Whole | None = None
    serial_to: Whole | None = None
    recognise: Text


class Propeller(Row):
    """The propeller the sheet's running figures hold for. Diameter and pitch [mm]."""

    title: Text
    diameter_mm: Positive
    pitch_mm: Positive
    blades: Annotated[Whole, Field(ge=1)]


class Geometry(Row):
    """Bore and stroke [mm], reduction (crank turns for one of the propeller), petrol to oil by volume."""

    bore_mm: Positive
    stroke_mm: Positive
    rod_length_mm: Positive | None = None
    gear_ratio: Positive
    petrol_to_oil: Positive
    propeller: Propeller
    standing: Standing
    source: str = ""

    @property
    def displacement_cm3(self) -> float:
        """Swept volume of one cylinder [cm3]."""
        return pi / 4 * self.bore_mm**2 * self.stroke_mm / 1000


class LimitRow(BuildRow):
    """What a reading is held against, in `unit`; `expanded_uncertainty` has coverage factor 2.

    `rule` says how the instrument's uncertainty counts: "guarded" keeps it inside the limits, "simple"
    takes the reading as it stands.
    """

    id: Id
    title: Text
    unit: Text
    nominal: Number | None = None
    lower: Number | None = None
    upper: Number | None = Field(default=None, validate_default=True)
    plausible_lower: Number
    plausible_upper: Number
    low_means: str = ""
    high_means: str = ""
    instrument: Text
    resolution: Positive
    expanded_uncertainty: NotNegative
    rule: Literal["simple", "guarded"]
    action_outside: Text
    note: str = ""
    standing: Standing
    source: str = ""

    @field_validator("upper")
    @classmethod
    def _limits_hold_the_nominal(cls, upper: float | None, info: ValidationInfo) -> float | None:
        lower, nominal = info.data.get("lower"), info.data.get("nominal")
        if lower is None and upper is None and "lower" in info.data:
            raise ValueError("a limit needs a lower or an upper value, or both")
        if lower is not None and upper is not None and lower > upper:
            raise ValueError(f"the upper value {upper:g} is below the lower, {lower:g}; are they swapped?")
        if nominal is not None and not _between(nominal, lower, upper):
            raise ValueError(f"the nominal value {nominal:g} is outside {_span(lower, upper)}")
        return upper

    @field_validator("plausible_upper")
    @classmethod
    def _plausible_holds_the_limits(cls, widest: float, info: ValidationInfo) -> float:
        least = info.data.get("plausible_lower")
        for name in ("lower", "upper"):
            value = info.data.get(name)
            if least is not None and value is not None and not least <= value <= widest:
                raise ValueError(f"the {name} value {value:g} is not within {least:g} to {widest:g}")
        return widest


def _between(value: float, lower: float | None, upper: float | None) -> bool:
    return (lower is None or lower <= value) and (upper is None or value <= upper)


def _span(lower: float | None, upper: float | None) -> str:
    if lower is None or upper is None:
        return f"its limit, at most {upper:g}" if lower is None else f"its limit, at least {lower:g}"
    return f"{lower:g} to {upper:g}"


class Part(Row):
    """A part by its trade name; `material` tells apart pieces that fit one place."""

    id: Id
    title: Text
    unit: Text = "piece"
    material: str = ""
    standing: Standing
    source: str = ""


class KitPiece(BuildRow):
    """A piece in the bag. `builds = ["none"]`: no build of this engine uses it.

    Where it is not for every build, `laid_aside_because` tells the technician why it is left over.
    """

    part: Id
    quantity: Annotated[Whole, Field(ge=1)] = 1
    laid_aside_because: str = Field(default="", validate_default=True)

    @field_validator("laid_aside_because")
    @classmethod
    def _left_over_pieces_say_why(cls, reason: str, info: ValidationInfo) -> str:
        if info.data.get("builds") and not reason:
            raise ValueError("this piece is laid aside on some build; say why, or it looks like a mistake")
        return reason


class Kit(Row):
    """A bag of pieces bought together, with everything in it."""

    id: Id
    title: Text
    pieces: Annotated[tuple[KitPiece, ...], Field(min_length=1)]


class Fitted(Row):
    """A component a task belongs to: its kind, and a word that its title holds (any, where empty)."""

    kind: Text
    title: str = ""

    def is_it(self, kind: str, title: str) -> bool:
        """Whether a component of that kind and title is meant."""
        return kind == self.kind and self.title.casefold() in title.casefold()


class TaskRow(BuildRow):
    """A task of the programme, due by hours or calendar, whichever comes first.

    `on_condition`: it has neither, and is done when something found asks for it. `fitted`: it is left out
    where the register knows of another component of that kind on the engine; where it knows of none, the
    task stands, since nothing tells against it.

    `interval_h`, `first_after_h`, `tolerance_h` [h]; `interval_months` [months]; `tolerance_days` [d];
    `minutes` [min] is the task alone, its access groups come on top and are shared. `anchor`: the next limit
    counts from the planned or from the actual time of the last one.
    """

    id: Id
    title: Text
    system: Text
    kind: Literal["inspect", "measure", "test", "adjust", "service", "replace"]
    on_condition: Flag = False
    interval_h: Positive | None = None
    interval_months: Annotated[Whole, Field(ge=1)] | None = Field(default=None, validate_default=True)
    fitted: Fitted | None = None
    first_after_h: Positive | None = None
    tolerance_h: NotNegative = 0.0
    tolerance_days: Whole = 0
    anchor: Literal["planned", "actual"] = "planned"
    access: tuple[Id, ...] = ()
    minutes: NotNegative
    second_check: Flag = False
    card: Id | None = None
    record: str = ""
    standing: Standing
    source: str = ""

    @field_validator("interval_months")
    @classmethod
    def _due_by_something(cls, months: int | None, info: ValidationInfo) -> int | None:
        neither = months is None and info.data.get("interval_h", 0.0) is None
        if neither and not info.data.get("on_condition", True):
            raise ValueError("a task needs interval_h or interval_months, or both, or on_condition = true")
        if not neither and info.data.get("on_condition"):
            raise ValueError("a task on condition has no interval_h and no interval_months")
        return months


class AccessGroup(Row):
    """An opening that several tasks share. `minutes` [min] to open and close, `requires` opened before it."""

    id: Id
    title: Text
    minutes: NotNegative
    requires: tuple[Id, ...] = ()
