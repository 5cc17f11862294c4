"""What a sum is: a question, the fields it wants, and how its answer is worked out.

A sum is written down once, in `catalogue`; its page, its data form, its command and its Python form follow
from that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tickover.science.core.working import Working

if TYPE_CHECKING:
    from tickover.sheets import TypeSheet
    from tickover.sheets.schema.geometry import Geometry

Rows = tuple[tuple[str | float, ...], ...]
Value = float | str | Rows | None
TAKE = ".give-or-take"
"""Behind a field's name: how sure its figure is."""


@dataclass(frozen=True)
class TableColumn:
    """One column of a field that takes rows: a number in `unit`, or one of `choices`."""

    name: str
    unit: str = ""
    lower: float = 0.0
    upper: float = 1e6
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Assumed:
    """What is taken for a figure that nobody knows, its half width as of `give_or_take` [both inside], and in words."""

    value: float
    half: float
    words: str


@dataclass(frozen=True)
class Field:
    """One thing a sum asks for.

    `units` are offered, the first is the usual one; `inside` is the unit that the sum is worked out in, and
    that `lower` and `upper` are in. `default` is what is typed where nothing else is known; "" with `optional` for a
    blank; `assumed` is what is taken for a blank, and said with what it leaves open. `give_or_take` is the half width,
    in the usual unit, of what 95 in 100 cases lie within; None where it is not asked; the sum finds it in its values
    under the name with `TAKE` behind it, and `taken_in` says that it counts it by itself. `engine` reads the figure off
    a type sheet, in `inside`; `reading` names limits of the sheet whose newest reading is the figure, `over_nominal`
    when it is counted from the limit's nominal. `ratio`: so many parts to one, which may be typed as "50:1". `step`:
    nobody knows it finer, in `inside`. `wants` are words to choose from, `columns` makes it a field of rows. `called`
    is how a refusal of the science begins that is about this field.
    """

    name: str
    label: str
    default: str = ""
    units: tuple[str, ...] = ("",)
    inside: str = ""
    lower: float = 0.0
    upper: float = 1e9
    hint: str = ""
    optional: bool = False
    assumed: Assumed | None = None
    whole: bool = False
    ratio: bool = False
    step: float = 0.0
    give_or_take: str | None = None
    taken_in: bool = False
    engine: Callable[[Geometry], float | None] | None = None
    reading: tuple[str, ...] = ()
    over_nominal: bool = False
    wants: tuple[tuple[str, str], ...] = ()
    columns: tuple[TableColumn, ...] = ()
    called: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        return self.units[0]

    @property
    def is_number(self) -> bool:
        return not self.wants and not self.columns


@dataclass(frozen=True)
class Result:
    """A number that comes out, in `unit`; `also` are other units it is told in, `lower` to `upper` its interval."""

    id: str
    name: str
    value: float
    unit: str = ""
    also: tuple[str, ...] = ()
    digits: int = 4
    lower: float | None = None
    upper: float | None = None

    def widened(self, half: float) -> Result:
        """With a half width more, added in squares to the interval it has."""
        below, above = (0.0 if end is None else end - self.value for end in (self.lower, self.upper))
        lower, upper = self.value - math.hypot(below, half), self.value + math.hypot(above, half)
        return replace(self, lower=lower, upper=upper)


@dataclass(frozen=True)
class CalculationAnswer:
    """What a sum says. `sentences` name results by their id in braces: "The air weighs {density}."."""

    sentences: tuple[str, ...]
    results: tuple[Result, ...]
    workings: tuple[Working, ...] = ()
    cautions: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()


Values = Mapping[str, Value]


@dataclass(frozen=True)
class Calculation:
    """A question of the bench that can be computed.

    `python` names the function of the science behind it. `picture` draws the answer as SVG, from the same
    values. `known` reads further fields off a type sheet, as they would be typed. `conclude` says what the answer
    means once its intervals are known.
    """

    id: str
    title: str
    room: str
    fields: tuple[Field, ...]
    compute: Callable[[Values], CalculationAnswer]
    python: str
    picture: Callable[[Values], str] | None = None
    cautions: tuple[str, ...] = ()
    known: Callable[[TypeSheet], Mapping[str, str]] | None = None
    conclude: Callable[[CalculationAnswer], CalculationAnswer] | None = None

    def field(self, name: str) -> Field | None:
        return next((f for f in self.fields if f.name == name), None)
