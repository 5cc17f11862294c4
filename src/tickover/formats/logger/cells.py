"""What number stands in a cell of a logger's table, and can it be read in two ways?"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Sequence

import numpy as np

from tickover.formats.igc_fixes import Bools, Floats
from tickover.formats.logger.columns import MISSING, NUMBER

__all__ = ["can_mean", "numbers"]

THOUSANDS_OR_DECIMALS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
GROUPED = re.compile(
    r"[+-]?[1-9]\d{0,2}(?:(?:[ '’\u00a0\u202f]\d{3})+(?:[.,]\d*)?|(?:,\d{3})+\.\d*|(?:\.\d{3})+,\d*"
    r"|(?:,\d{3}){2,}|(?:\.\d{3}){2,})"
)
"""Thousands apart by a mark that cannot be that of decimals."""
APART = re.compile(r"[ '’\u00a0\u202f.,]")


def numbers(cells: Iterable[str]) -> tuple[Floats, Bools]:
    """Numbers, NaN where there is none; and False where what stands there is no number."""
    values, sound = array("d"), array("b")
    for cell in cells:
        value = float(cell.replace(",", ".")) if NUMBER.fullmatch(cell) else _grouped(cell)
        sound.append(value is not None or cell.casefold() in MISSING)
        values.append(np.nan if value is None else value)
    return np.array(values, dtype=np.float64), np.array(sound, dtype=np.bool_)


def can_mean(cells: Iterable[str]) -> str:
    """A cell such as 5,400 in a column where nothing tells thousands from decimals; "" for none.

    One cell that can only be decimals (5400,25), or thousands in one way only, tells for all of them.
    """
    first = ""
    for cell in cells:
        if ("," in cell or "." in cell) and NUMBER.fullmatch(cell):
            if not THOUSANDS_OR_DECIMALS.fullmatch(cell):
                return ""
            first = first or cell
    return first


def both_ways(cell: str) -> tuple[str, str]:
    """Such a cell as thousands and as decimals."""
    return re.sub("[.,]", "", cell), cell.replace(",", ".")


def _grouped(cell: str) -> float | None:
    """5 400 and 5,400.25 as they are meant; None for what is no number."""
    if not GROUPED.fullmatch(cell):
        return None
    marks: Sequence[str] = APART.findall(cell)
    decimals = marks[-1] != marks[0]
    whole, _, part = cell.rpartition(marks[-1]) if decimals else (cell, "", "")
    return float(f"{APART.sub('', whole)}.{part}")
