"""What a step asks for: one number, the same one several times, or the numbers that one is computed from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tickover.sheets import LimitRow
from tickover.sheets.schema.limits import WAITED

TYPED = "typed"
NUMBER_OF = "of-"
"""Before the name of a number that a reading comes from, or that it has a condition of."""


@dataclass(frozen=True)
class InputField:
    """One field of a reading.

    Parameters
    ----------
    name : str
        By which the form and the record know it.
    gauged : bool
        Whether it is read off the instrument of the step, so that the instrument's uncertainty is on it.
    within : float
        For what is not: it is right to within this much, to both sides. [unit]
    given : float, optional
        Taken where nothing is typed, for `given_by` that says where it comes from.
    optional : bool
        Whether it may be left out altogether.
    """

    name: str
    label: str
    unit: str
    gauged: bool = True
    within: float = 0.0
    given: float | None = None
    given_by: str = "the type sheet"
    optional: bool = False
    note: str = ""


@dataclass(frozen=True)
class TypedReading:
    """What a person typed at a step, by the names of its fields.

    `unit` is what it is typed in, "" for the sheet's; `instrument` is the number of the one that was read.
    `unit_for` is the instrument that was named when that unit was chosen; None where nobody chose by a form.
    `confirmed` insists on a number that was asked about, `acknowledged` on an instrument that was.
    """

    values: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    instrument: str = ""
    unit_for: str | None = None
    confirmed: bool = False
    acknowledged: bool = False

    @classmethod
    def of(cls, typed: str, *, confirmed: bool = False) -> TypedReading:
        """One number, or several with a semicolon between them."""
        return cls({TYPED: typed}, confirmed=confirmed)

    def texts(self, asks: tuple[InputField, ...]) -> dict[str, str]:
        """What was typed for each field, "" for nothing."""
        by_field = any(a.name in self.values for a in asks if a.name != TYPED)
        if len(asks) > 1 and TYPED in self.values and not by_field:
            parts = self.values[TYPED].split(";")
            return {a.name: text.strip() for a, text in zip(asks, [*parts, *[""] * len(asks)], strict=False)}
        return {a.name: self.values.get(a.name, "").strip() for a in asks}


def repeated_fields(limit: LimitRow) -> tuple[InputField, ...]:
    """The fields of a limit that is read itself, once or several times, and what its conditions ask beside it."""
    if limit.repeats == 1:
        return (InputField(TYPED, "Your reading", limit.unit), *_waited(limit))
    times = tuple(
        InputField(f"{TYPED}_{n}", f"Reading {n} of {limit.repeats}", limit.unit)
        for n in range(1, limit.repeats + 1)
    )
    return (*times, *_waited(limit))


def read_numbers(limit: LimitRow, amounts: Mapping[str, float]) -> tuple[float, ...]:
    """Of a limit that is read itself, what was read; not the times that its conditions ask for."""
    conditions = {a.name for a in _waited(limit)}
    return tuple(value for name, value in amounts.items() if name not in conditions)


def _waited(limit: LimitRow) -> tuple[InputField, ...]:
    """A time that is left out is no reason to lose what was read: a head too hot too early was too hot."""
    return tuple(
        InputField(
            NUMBER_OF + condition.of,
            condition.title or "Time before the reading",
            WAITED[condition.of],
            gauged=False,
            optional=True,
        )
        for condition in limit.conditions
        if condition.of in WAITED
    )
