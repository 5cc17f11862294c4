"""From a shipped type sheet and the fragments it includes to one complete TOML text.

A fragment holds the rows of one system for many types. A row that applies to no build of this type is left
out; a row of the type sheet with the id of a fragment's row is laid over it, key by key. The text that comes
out includes nothing and is the same for the same files, so that its fingerprint names one version.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import tomli_w

from tickover.sheets.blocks import BLOCKS, with_blocks
from tickover.sheets.errors import Problem, SheetError
from tickover.sheets.overlay import laid_over
from tickover.sheets.reading import parsed
from tickover.sheets.schema.faults import GRADES
from tickover.sheets.schema.rows import NO_BUILD
from tickover.sheets.schema.type_sheet import TypeSheet

Table = dict[str, Any]
"""A TOML table as the standard library reads it: any key, any value, not yet checked."""

_CHILDREN = ("steps", "findings", "stack", "holes")


def composed(name: str, read: Callable[[str], str]) -> str:
    """The complete text of the sheet in file `name`; `read` gives a file's text by its name.

    Raises SheetError where a file is missing or no TOML, or where two fragments give one id.
    """
    sheet = parsed(read(name), name)
    names = {word for build in sheet["builds"] for word in (build["id"], *build.get("traits", ()))}
    rows: Table = {}
    fragments = {part: _fragment(part, name, read) for part in sheet.pop("include", ())}
    blocks = {block["id"]: block["steps"] for each in fragments.values() for block in each.pop(BLOCKS, ())}
    for part, fragment in fragments.items():
        for table, more in with_blocks(fragment, blocks, part).items():
            rows[table] = _joined(part, table, rows.get(table), _kept(more, names))
    if "programme" in rows:
        written = {row["id"] for fragment in fragments.values() for row in fragment.get("programme", ())}
        for key in ("begins_again", "contains"):
            rows["programme"] = _naming(rows["programme"], key, written)
    if "acts" in rows:
        rows["acts"] = _acts_done(rows["acts"], rows.get("cards", []))
    for table, own in sheet.items():
        rows[table] = laid_over(rows[table], own) if table in rows else own
    order = [key for key in TypeSheet.model_fields if key in rows]
    return tomli_w.dumps({key: rows[key] for key in dict.fromkeys([*order, *rows])})


def rows_for(sheet: Table, names: set[str]) -> Table:
    """The sheet with the rows that some build of these names (ids and traits) has, naming those only."""
    return {
        **_kept({key: rows for key, rows in sheet.items() if key != "builds"}, names),
        "builds": sheet["builds"],
    }


def _naming(rows: list[Table], key: str, written: set[str]) -> list[Table]:
    """The rows, naming none that no build of this type has. A name nobody wrote stays: it is a mistake."""
    left_out = written - {row["id"] for row in rows}
    return [
        {**row, key: [name for name in row[key] if name not in left_out]} if key in row else row
        for row in rows
    ]


def _acts_done(acts: list[Table], cards: list[Table]) -> list[Table]:
    """The acts that some step of this type does, on the builds that have the step, naming none of the others."""
    builds = _builds_of_acts(cards)
    written = {act["id"] for act in acts}
    rows = [{**act, **_on(builds[act["id"]])} for act in acts if act["id"] in builds]
    for key in ("relies_on", "after", "covers"):
        rows = _naming(rows, key, written)
    kept = {act["id"] for act in rows} | {
        name for row in rows for name in _waited_for(row) if name not in written
    }
    return [
        {**row, "waits": [wait for wait in row["waits"] if wait["act"] in kept]} if "waits" in row else row
        for row in rows
    ]


def _builds_of_acts(cards: list[Table]) -> dict[str, list[str]]:
    """Each act that a step does, with the builds or traits it is done on; none, where it is done on all."""
    found: dict[str, list[str]] = {}
    for card in cards:
        for step in card["steps"]:
            act, on = step.get("does", step["id"]), step.get("builds") or card.get("builds") or []
            before = found.get(act, on)
            found[act] = list(dict.fromkeys([*before, *on])) if before and on else []
    return found


def _on(builds: list[str]) -> Table:
    return {"builds": builds} if builds else {}


def _waited_for(act: Table) -> list[str]:
    return [wait["act"] for wait in act.get("waits", ())]


def _fragment(part: str, name: str, read: Callable[[str], str]) -> Table:
    try:
        return parsed(read(part), part)
    except FileNotFoundError:
        raise SheetError(name, (Problem("include", f'there is no file called "{part}"'),)) from None


def _joined(part: str, table: str, rows: Any, more: Any) -> Any:
    if rows is None or not isinstance(rows, list):
        return more
    taken = {row["id"] for row in rows}
    if twice := [row["id"] for row in more if row["id"] in taken]:
        where = f"{table}.{twice[0]}"
        raise SheetError(part, (Problem(where, "another included file has a row of this id; choose one"),))
    return [*rows, *more]


def _kept(rows: Any, names: set[str]) -> Any:
    """The rows that some build of this type has, naming those builds only.

    A piece of a kit stays in the bag whatever the type: where no build uses it, it is laid aside.
    """
    if isinstance(rows, dict):
        kept = {key: _kept(inside, names) for key, inside in rows.items()}
        return _graded(kept, _shown(rows) - _shown(kept)) if "causes" in kept else kept
    return list(_that_apply(rows, names)) if isinstance(rows, list) else rows


def _that_apply(rows: list[Table], names: set[str]) -> Iterator[Table]:
    for row in rows:
        builds = [word for word in row.get("builds", ()) if word in names]
        if row.get("builds") and not builds:
            continue
        inside: Table = {key: list(_that_apply(row[key], names)) for key in _CHILDREN if _tables(row, key)}
        inside |= {"pieces": [_piece(piece, names) for piece in row["pieces"]]} if "pieces" in row else {}
        if "steps" in inside:
            inside["steps"] = _holding(inside["steps"], {step["id"] for step in row["steps"]})
        yield {**row, **({"builds": builds} if builds else {}), **inside}


def _holding(steps: list[Table], of_all: set[str]) -> list[Table]:
    """The steps that stay, holding none that was left out. A name that no step has stays: it is a mistake."""
    left_out = of_all - {step["id"] for step in steps}
    return [
        {**step, "hold_before": [name for name in step["hold_before"] if name not in left_out]}
        if "hold_before" in step
        else step
        for step in steps
    ]


def _shown(faults: Table) -> set[str]:
    return {row["id"] for rows in ("findings", "tests") for row in faults.get(rows, ())}


def _graded(faults: Table, left_out: set[str]) -> Table:
    """Causes without their grades for what was left out. A name that nothing has stays: it is a mistake."""
    causes = [
        {
            key: [n for n in value if n not in left_out] if key in GRADES else value
            for key, value in row.items()
        }
        for row in faults["causes"]
    ]
    return {**faults, "causes": causes}


def _tables(row: Mapping[str, Any], key: str) -> bool:
    return bool(row.get(key)) and isinstance(row[key][0], dict)


def _piece(piece: Table, names: set[str]) -> Table:
    if not piece.get("builds"):
        return piece
    return {**piece, "builds": [word for word in piece["builds"] if word in names] or [NO_BUILD]}
