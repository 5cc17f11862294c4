"""How a computed number shows its working: formula, inputs with units, source, range, authority."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quantity:
    """A named value with its unit and, where it has one, the place it came from."""

    name: str
    value: float | str
    unit: str
    source: str = ""


@dataclass(frozen=True)
class Working:
    """Everything a reader needs to redo a number by hand and to judge how far to trust it."""

    title: str
    formula: str
    inputs: tuple[Quantity, ...]
    result: Quantity
    validity: str
    source: str
    authority: str
