"""Rows laid over rows of the same id, key by key."""

from __future__ import annotations

from typing import Any


def laid_over(rows: Any, own: Any) -> Any:
    """Key by key; tables in a list that go by an id each over the one of that id, new ones after them."""
    if isinstance(rows, dict) and isinstance(own, dict):
        return {**rows, **{key: laid_over(rows.get(key), value) for key, value in own.items()}}
    if not (_by_id(rows) and _by_id(own)):
        return own
    mine = {row["id"]: row for row in own}
    known = {row["id"] for row in rows}
    laid = [laid_over(row, mine.get(row["id"], {})) for row in rows]
    return [*laid, *(row for row in own if row["id"] not in known)]


def _by_id(rows: Any) -> bool:
    return isinstance(rows, list) and all(isinstance(row, dict) and "id" in row for row in rows)
