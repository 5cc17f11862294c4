"""What no table of causes and findings may hold, told with row and column."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.faults.sets import Floats


def refuse(names: tuple[str, ...], wrong: NDArray[np.bool_] | np.bool_, why: str) -> None:
    if found := [name for name, bad in zip(names, np.atleast_1d(wrong), strict=True) if bad]:
        raise OutOfRangeError(f"{', '.join(found)}: {why}")


def refuse_chances(causes: tuple[str, ...], findings: tuple[str, ...], table: Floats) -> None:
    for row, column in zip(*np.nonzero(~((table >= 0) & (table <= 1))), strict=True):
        raise OutOfRangeError(
            f"row {causes[row]}, column {findings[column]}: a chance of {table[row, column]:g} "
            "is not within 0 to 1"
        )


def refuse_other_shapes(
    causes: tuple[str, ...],
    findings: tuple[str, ...],
    table: Floats,
    rows: tuple[Floats, Floats],
    twins: tuple[str, ...],
) -> None:
    for names, noun in ((causes, "cause"), (findings, "finding")):
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise OutOfRangeError(f"{', '.join(twice)}: the same {noun} twice")
    shape = (len(causes), len(findings))
    if table.shape != shape or (rows[0].shape, rows[1].shape, len(twins)) != (
        shape[:1],
        shape[1:],
        shape[0],
    ):
        raise OutOfRangeError(f"{shape[0]} causes and {shape[1]} findings need a table of that shape")
