"""Columns of one length as a table of pandas or polars, whichever is installed; neither is needed by tickover."""

from __future__ import annotations

import importlib.util
from collections.abc import Mapping
from importlib import import_module
from typing import Any

from numpy.typing import NDArray

LIBRARIES = ("pandas", "polars")


def frame_of(columns: Mapping[str, NDArray[Any]], library: str | None) -> Any:
    """A DataFrame.

    Parameters
    ----------
    columns : mapping of str to array [n]
    library : str or None
        "pandas" or "polars"; None takes the first of them that is installed.

    Raises
    ------
    ValueError
        For another library.
    ModuleNotFoundError
        Where it is not installed.
    """
    if library not in (None, *LIBRARIES):
        raise ValueError(f"library must be pandas or polars; got {library!r}")
    wanted = LIBRARIES if library is None else (library,)
    found = next((name for name in wanted if importlib.util.find_spec(name)), None)
    if found is None:
        raise ModuleNotFoundError(
            f"A table needs {' or '.join(wanted)}. Install one: pip install {wanted[0]}"
        )
    return import_module(found).DataFrame(dict(columns))
