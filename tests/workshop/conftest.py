"""Sheets for tests: the shipped one with some keys of a row set as the test wants them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest


def with_keys(text: str, table: str, row_id: str, keys: dict[str, Any]) -> str:
    """The text of a sheet with keys put into every row of that id, in place of those it had; None takes one out."""
    rows = re.compile(rf'^\[\[{re.escape(table)}\]\]\nid = "{row_id}"\n(?:(?!\[).*\n)*', re.MULTILINE)
    assert rows.search(text), f"no row {row_id} in {table}"
    return rows.sub(lambda found: _with(found[0], row_id, keys), text)


def _with(row: str, row_id: str, keys: dict[str, Any]) -> str:
    for key, value in keys.items():
        row = re.sub(rf"^{key} = (?:\[\n(?: .*\n)*\]|.*)\n", "", row, flags=re.MULTILINE)
        if value is None:
            continue
        # A plain value is written the same in JSON and in TOML.
        row = row.replace(f'id = "{row_id}"\n', f'id = "{row_id}"\n{key} = {json.dumps(value)}\n', 1)
    return row


@pytest.fixture
def sheet_with(sheet: Any, now: Any) -> Callable[..., None]:
    """Keep a newer version of the sheet, with keys set: `sheet_with("limits", "pop-off", repeats=3)`.

    `without` names a table that the newer version does not have.
    """
    from tickover.sheets import load_sheet
    from tickover.workshop.register.actions import keep_sheet
    from tickover.workshop.register.queries import newest_sheet_version

    def change(table: str, row_id: str, *, without: str = "", **keys: Any) -> None:
        newest = newest_sheet_version(sheet.sheet_id)
        text = with_keys(newest.text, table, row_id, keys)
        if without:
            text = re.sub(rf"(?ms)^\[\[{without}\]\]\n.*?(?=^\[\[(?!{without}))", "", text)
        text = re.sub(
            r"^version = \d+$", f"version = {newest.version + 1}", text, count=1, flags=re.MULTILINE
        )
        load_sheet(text, "changed.toml")
        keep_sheet(text, "changed.toml", actor="tickover", at=now)

    return change
