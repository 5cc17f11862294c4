"""The plain rows of a type sheet: builds, parts and kits, and what every row is made of.

Numbers are never read from text and never infinite, so that a slip of the pen is told and not repaired.
`builds = []` on a row means every build of the sheet.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationInfo, field_validator

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[Number, Field(gt=0)]
NotNegative = Annotated[Number, Field(ge=0)]
Whole = Annotated[int, Field(strict=True, ge=0)]
Flag = Annotated[bool, Field(strict=True)]
Authority = Literal["maker", "rule", "common practice, no source", "own data", "from memory", "standard"]

NO_BUILD = "none"
"""In a kit piece's `builds`: the piece is in the bag but belongs to another engine or carburettor."""


class Row(BaseModel):
    """A frozen table of the sheet that refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Build(Row):
    """One build of the engine: its serial numbers and how it is told from the others by eye.

    `traits` are what rows for many types go by, such as "plated-bore" or "internal-pulse".
    """

    id: Id
    title: Text
    traits: tuple[Id, ...] = ()
    serial_from: Whole | None = None
    serial_to: Whole | None = None
    recognise: Text

    @property
    def names(self) -> frozenset[str]:
        """What a row's `builds` may call it by: its own id, or a trait it shares with other builds."""
        return frozenset({self.id, *self.traits})


class BuildRow(Row):
    """A row that may apply to some builds only: `builds` names their ids or traits, none means all."""

    builds: tuple[Id, ...] = ()

    def on(self, build: Build) -> bool:
        """Whether the row applies to that build."""
        return not self.builds or not build.names.isdisjoint(self.builds)


class Part(Row):
    """A part by its trade name; `material` tells apart pieces that fit one place."""

    id: Id
    title: Text
    unit: Text = "piece"
    material: str = ""
    authority: Authority
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
            raise ValueError("this piece is not used on some build; say why, or it looks like a mistake")
        return reason


class Kit(Row):
    """A bag of pieces bought together, with everything in it."""

    id: Id
    title: Text
    pieces: Annotated[tuple[KitPiece, ...], Field(min_length=1)]
