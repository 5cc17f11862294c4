"""Tables of a sheet as plain data: find a row, put one, take one out, move one. Nothing here is stored."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

import tomli_w
from django.utils.text import slugify
from pydantic import BaseModel

from tickover.sheets import Build, Geometry, LimitRow, Part, Propeller, Step, TaskRow, TypeSheet

Table = dict[str, Any]
ID_MAX = 60
MODELS: dict[str, type[BaseModel]] = {
    "limits": LimitRow,
    "programme": TaskRow,
    "parts": Part,
    "builds": Build,
    "steps": Step,
    "geometry": Geometry,
    "propeller": Propeller,
}
SINGLE = ("geometry", "propeller")


class NoRowError(LookupError):
    """The sheet has no such table, card or row."""


@dataclass(frozen=True)
class Place:
    """A table of a sheet; steps stand in a card."""

    table: str
    card: str = ""

    def key(self, data: Table, row_id: str) -> str:
        """How a problem of this row is named: `limits.pop-off`, `cards.strip.steps[4]`."""
        if self.table in SINGLE:
            return "geometry" if self.table == "geometry" else "geometry.propeller"
        if self.table == "steps":
            return f"cards.{self.card}.steps[{index_of(rows_of(data, self), row_id) + 1}]"
        return f"{self.table}.{row_id}"


def text_of(data: Table) -> str:
    """The text of a sheet, its tables in the order of the schema: the same for the same data."""
    order = [key for key in TypeSheet.model_fields if key in data]
    return tomli_w.dumps({key: data[key] for key in dict.fromkeys([*order, *data])})


def rows_of(data: Table, place: Place) -> list[Table]:
    """The rows of a table, to be changed in place."""
    if place.table not in MODELS:
        raise NoRowError(place.table)
    if place.table == "steps":
        cards = data.setdefault("cards", [])
        rows: list[Table] = cards[index_of(cards, place.card)]["steps"]
        return rows
    if place.table in SINGLE:
        row = data["geometry"] if place.table == "geometry" else data["geometry"]["propeller"]
        return [row]
    found: list[Table] = data.setdefault(place.table, [])
    return found


def row_of(data: Table, place: Place, row_id: str) -> Table:
    rows = rows_of(data, place)
    return rows[0] if place.table in SINGLE else rows[index_of(rows, row_id)]


def index_of(rows: list[Table], row_id: str) -> int:
    for n, row in enumerate(rows):
        if row.get("id") == row_id:
            return n
    raise NoRowError(row_id)


def put(data: Table, place: Place, row_id: str, row: Table) -> None:
    """Lay a row in place of the one it was; a new one goes to the end."""
    rows = rows_of(data, place)
    if place.table in SINGLE:
        rows[0].clear()
        rows[0].update(row)
    elif any(one.get("id") == row_id for one in rows):
        rows[index_of(rows, row_id)] = row
    else:
        rows.append(row)


def remove(data: Table, place: Place, row_id: str) -> None:
    rows = rows_of(data, place)
    del rows[index_of(rows, row_id)]


def move(data: Table, place: Place, row_id: str, by: int) -> None:
    """Move a row up (-1) or down (+1); at the end of the list it stays."""
    rows = rows_of(data, place)
    n = index_of(rows, row_id)
    rows.insert(max(0, n + by), rows.pop(n))


def new_id(rows: list[Table], words: str) -> str:
    """An id made of the first words of a title that no other row has."""
    stem = slugify(words)[: ID_MAX - 5].strip("-").replace("_", "-").replace("--", "-") or "row"
    taken, n, name = {row.get("id") for row in rows}, 1, stem
    while name in taken:
        n += 1
        name = f"{stem}-{n}"
    return name


def mark_of(row: Table) -> str:
    """A short mark of what a row says, so that a form knows whether it was changed meanwhile."""
    return sha256(json.dumps(row, sort_keys=True, default=str).encode()).hexdigest()[:16]


def long_ids(data: Any, where: str = "") -> Iterator[str]:
    """Rows whose id is longer than the register keeps."""
    if isinstance(data, dict):
        if isinstance(data.get("id"), str) and len(data["id"]) > ID_MAX:
            yield f"{where} {data['id'][:ID_MAX]}…".strip()
        for key, value in data.items():
            yield from long_ids(value, key)
    elif isinstance(data, list):
        for one in data:
            yield from long_ids(one, where)
