"""Cells that go into a spreadsheet: text that it would run as a formula is made plain."""

from __future__ import annotations

from typing import Any

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def safe_cell(value: Any) -> Any:
    """Text that a spreadsheet would run, made plain text."""
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return "" if value is None else value
