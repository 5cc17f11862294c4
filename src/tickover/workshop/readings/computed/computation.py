"""What a computed reading is made of: the numbers it asks for, the sum, and what else they tell."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from tickover.formats.errors import NumberError
from tickover.science.core.working import Quantity
from tickover.sheets import Geometry, LimitRow
from tickover.workshop.readings.input_fields import NUMBER_OF, InputField

Amounts = Mapping[str, float]


class NoComputationError(NumberError):
    """A value that is computed, by a computation that is not known here."""


@dataclass(frozen=True)
class MeasurementContext:
    """Where a computed reading is taken: its limit, and the engine's geometry."""

    limit: LimitRow
    geometry: Geometry

    def known(self, name: str) -> Any:
        """A figure of the geometry; None where the sheet leaves it blank."""
        return getattr(self.geometry, name, None)

    def asked_for(self, number: str) -> float | None:
        """What a condition of the test asks a number to be, at least or at most; None where there is none."""
        found = next((c for c in self.limit.conditions if NUMBER_OF + c.of == number), None)
        return None if found is None else found.upper if found.lower is None else found.lower


def _nothing(_site: MeasurementContext, _amounts: Amounts) -> tuple[Any, ...]:
    return ()


@dataclass(frozen=True)
class Computation:
    """A reading that is computed.

    Parameters
    ----------
    asks
        The fields it asks for.
    sum_for
        The function to be worked out, chosen by the amounts where they decide (which blade is highest).
    near
        Amounts that come out at a wanted value: for a target to be set, and for invented data.
    unit
        Of the result; "" for the unit of the limit.
    title, main
        Where the sheet holds its limit against one of the numbers themselves, in the unit of the field `main`,
        that is read, and the result is shown with it under this title.
    also, notes
        What else follows from the amounts, and sentences for the bench about it.
    """

    asks: Callable[[MeasurementContext], tuple[InputField, ...]]
    sum_for: Callable[[MeasurementContext, Amounts], Callable[[Amounts], float]]
    near: Callable[[MeasurementContext, float], dict[str, float]]
    formula: str
    validity: str
    source: str
    authority: str
    unit: str = ""
    title: str = ""
    main: str = ""
    also: Callable[[MeasurementContext, Amounts], tuple[Quantity, ...]] = _nothing
    notes: Callable[[MeasurementContext, Amounts], tuple[str, ...]] = _nothing
