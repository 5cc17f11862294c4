"""Two or three figures that belong together, by name: ends of an interval, what lies below and above."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

__all__ = ["ConfidenceInterval", "NamedFigures"]


class NamedFigures:
    """A result whose figures can also be taken apart in their order: `lower, upper = interval`."""

    def __iter__(self) -> Iterator[Any]:
        return iter([getattr(self, field.name) for field in fields(self)])  # type: ignore[arg-type]


@dataclass(frozen=True, eq=False)
class ConfidenceInterval(NamedFigures):
    """Ends between which a figure lies, in the figure's unit: numbers, or arrays of one shape."""

    lower: Any
    upper: Any
