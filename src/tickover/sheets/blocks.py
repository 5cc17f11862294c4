"""Blocks: steps that many cards share, written once in a fragment and named by the cards in their place.

A card's row `block = "cap-on"` becomes the steps of that block. `steps` on that row are laid over those of the
block, by their ids. `again = "after-drive"` puts that word behind every id, for a block that comes twice on a card.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tickover.sheets.errors import Problem, SheetError, no_such
from tickover.sheets.overlay import laid_over

Table = dict[str, Any]
Blocks = Mapping[str, list[Table]]

BLOCKS = "blocks"
"""The table of a fragment that holds them; a sheet that was composed has none."""


def with_blocks(fragment: Table, blocks: Blocks, part: str) -> Table:
    """The rows of a fragment with the steps of each block in its place.

    Raises SheetError where a card names a block that no included file has, or lays a step over it that it lacks.
    """
    cards = [_spread(card, blocks, part) for card in fragment.get("cards", ())]
    return {**fragment, **({"cards": cards} if cards else {})}


def _spread(card: Table, blocks: Blocks, part: str) -> Table:
    return {**card, "steps": list(_steps(card["steps"], blocks, f"{part}, card {card['id']}"))}


def _steps(rows: list[Table], blocks: Blocks, where: str, within: tuple[str, ...] = ()) -> Iterator[Table]:
    for row in rows:
        if "block" not in row:
            yield row
            continue
        name = row["block"]
        if name in within:
            _refuse(where, f'the block "{name}" holds itself')
        if name not in blocks:
            _refuse(where, no_such("block", name, tuple(blocks)))
        steps = list(_steps(blocks[name], blocks, where, (*within, name)))
        yield from _again(_with_own(steps, row, where), row.get("again", ""))


def _with_own(steps: list[Table], row: Table, where: str) -> list[Table]:
    own = row.get("steps", [])
    ids = tuple(step["id"] for step in steps)
    if unknown := [step["id"] for step in own if step["id"] not in ids]:
        _refuse(where, no_such(f'step of the block "{row["block"]}"', unknown[0], ids))
    laid: list[Table] = laid_over(steps, own)
    return laid


def _again(steps: list[Table], word: str) -> Iterator[Table]:
    """The steps under ids of their own; what they do stays, holds within the block follow."""
    ids = {step["id"]: f"{step['id']}-{word}" if word else step["id"] for step in steps}
    for step in steps:
        held = [ids.get(name, name) for name in step.get("hold_before", ())]
        does = {"does": step.get("does", step["id"])} if word else {}
        yield {**step, **does, "id": ids[step["id"]], **({"hold_before": held} if held else {})}


def _refuse(where: str, sentence: str) -> None:
    raise SheetError(where, (Problem("block", sentence),))
