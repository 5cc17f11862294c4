"""What differs between two texts of a sheet, row by row, and how three texts are laid together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tickover.sheets import TypeSheet
from tickover.workshop.knowledge.tables import Table
from tickover.workshop.knowledge.words import TABLES, in_words, label_of

_MISSING = object()


@dataclass(frozen=True)
class Difference:
    """One thing that was and is. `row` names the row in words; "" stands for what was not or is no more."""

    table: str
    row: str
    key: str
    was: str
    now: str

    @property
    def table_words(self) -> str:
        return TABLES.get(self.table, ("", self.table.replace("_", " ").capitalize()))[1]


def differences(before: Table, after: Table) -> list[Difference]:
    """Row by row; the version number is no difference, nor is a default that is written out."""
    one, other = complete(before), complete(after)
    found: list[Difference] = []
    for table in one:
        if table == "version":
            continue
        found += _compared(table, "", "", one[table], other[table])
    return found


def complete(data: Table) -> Table:
    """The data with every default in it, so that leaving one out makes no difference."""
    return TypeSheet.model_validate(data).model_dump(mode="json")


def _compared(table: str, row: str, key: str, was: Any, now: Any) -> Iterator[Difference]:
    if was == now:
        return
    if isinstance(was, dict) and isinstance(now, dict):
        for name in was.keys() | now.keys() if was.keys() != now.keys() else was:
            yield from _compared(table, row, _joined(key, name), was.get(name), now.get(name))
    elif _keyed(was) and _keyed(now):
        yield from _rows(table, row, key, was, now)
    else:
        yield Difference(table, row, _label(table, key), in_words(was), in_words(now))


def _rows(table: str, row: str, key: str, was: list[Table], now: list[Table]) -> Iterator[Difference]:
    old, new = ({row_key(one): one for one in rows} for rows in (was, now))
    for name in [*old, *(name for name in new if name not in old)]:
        title = _named(new.get(name) or old[name])
        shown = f"{row}: {title}" if row else title
        if name not in new:
            yield Difference(table, shown, "row", in_words(old[name]), "")
        elif name not in old:
            yield Difference(table, shown, "row", "", in_words(new[name]))
        else:
            yield from _compared("steps" if key == "steps" else table, shown, "", old[name], new[name])
    both = [[name for name in rows if name in old and name in new] for rows in (old, new)]
    if both[0] != both[1]:
        before, after = (
            [_named(rows[n]) for n in names] for rows, names in zip((old, new), both, strict=True)
        )
        moved = [n for n, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
        first, last = moved[0], moved[-1] + 1
        yield Difference(
            table, row or "all rows", "order", "; ".join(before[first:last]), "; ".join(after[first:last])
        )


def row_key(row: Table) -> str:
    return str(row.get("id") or row.get("part") or "")


def _named(row: Table) -> str:
    return str(row.get("title") or row.get("act") or row.get("part") or row.get("id"))


def _keyed(rows: Any) -> bool:
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return False
    keys = [row_key(row) for row in rows]
    return all(keys) and len(set(keys)) == len(keys)


def _joined(key: str, name: str) -> str:
    return f"{key}, {name}" if key else name


def _label(table: str, key: str) -> str:
    head, _, rest = key.partition(", ")
    return label_of(table, head) + (f", {label_of(head, rest)}" if rest else "")


def merged(base: Table, mine: Table, theirs: Table) -> tuple[Table, list[str]]:
    """My changes since `base` laid over `theirs`; where both changed one thing mine stays, and is told."""
    collisions: list[str] = []
    data = _merged(base, mine, theirs, "", collisions)
    data["version"] = theirs["version"]
    return data, collisions


def _merged(base: Any, mine: Any, theirs: Any, where: str, notes: list[str]) -> Any:
    if mine == theirs or theirs == base:
        return mine
    if mine == base:
        return theirs
    if isinstance(mine, dict) and isinstance(theirs, dict):
        return _merged_tables(base if isinstance(base, dict) else {}, mine, theirs, where, notes)
    if _keyed(mine) and _keyed(theirs):
        return _merged_rows(base if _keyed(base) else [], mine, theirs, where, notes)
    if where != "version":
        said = "left out" if mine is _MISSING else in_words(mine)
        other = "left out" if theirs is _MISSING else in_words(theirs)
        notes.append(f"{where}: yours is {said}, the other {other}; yours stays.")
    return mine


def _merged_tables(base: Table, mine: Table, theirs: Table, where: str, notes: list[str]) -> Table:
    out = {}
    for key in dict.fromkeys([*theirs, *mine]):
        old, own, other = (rows.get(key, _MISSING) for rows in (base, mine, theirs))
        value = _merged(old, own, other, f"{where}.{key}" if where else key, notes)
        if value is not _MISSING:
            out[key] = value
    return out


def _merged_rows(
    base: list[Table], mine: list[Table], theirs: list[Table], where: str, notes: list[str]
) -> list[Table]:
    old, own, other = ({row_key(row): row for row in rows} for rows in (base, mine, theirs))
    order = [*other, *own] if list(own) == list(old) else [*own, *other]
    out = []
    for name in dict.fromkeys(order):
        rows = old.get(name, _MISSING), own.get(name, _MISSING), other.get(name, _MISSING)
        row = _merged(*rows, f"{where}.{name}", notes)
        if row is not _MISSING:
            out.append(row)
    return out
