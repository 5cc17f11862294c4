"""A block of steps is written once and comes into every card that names it, laid over and told apart where asked."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest

from tickover.sheets import SheetError, shipped_texts
from tickover.sheets.composing import composed

TYPE = 'id = "t"\ninclude = ["work.toml", "blocks.toml"]\n[[builds]]\nid = "one"\ntraits = ["hose"]\n'
BLOCKS = """
[[blocks]]
id = "cap"
[[blocks.steps]]
id = "proved"
how = "Press it."
hold_before = ["on"]
[[blocks.steps]]
id = "on"
[[blocks]]
id = "run"
[[blocks.steps]]
id = "held"
[[blocks.steps]]
block = "cap"
[[blocks.steps]]
id = "motor"
builds = ["motor"]
"""
CARD = '[[cards]]\nid = "c"\n[[cards.steps]]\nid = "first"\n[[cards.steps]]\n'


def steps(row: str, blocks: str = BLOCKS) -> list[dict[str, Any]]:
    files = {"t.toml": TYPE, "work.toml": CARD + row, "blocks.toml": blocks}
    sheet = tomllib.loads(composed("t.toml", files.__getitem__))
    assert "blocks" not in sheet
    found: list[dict[str, Any]] = sheet["cards"][0]["steps"]
    return found


def test_a_block_comes_in_where_it_is_named_with_the_blocks_within_it() -> None:
    assert [step["id"] for step in steps('block = "run"\n')] == ["first", "held", "proved", "on"]


def test_a_step_of_the_card_is_laid_over_that_of_the_block_key_by_key() -> None:
    row = 'block = "cap"\n[[cards.steps.steps]]\nid = "proved"\nsecond_check = true\n'
    assert steps(row)[1] == {"id": "proved", "how": "Press it.", "hold_before": ["on"], "second_check": True}


def test_a_block_that_comes_twice_has_ids_of_its_own_and_holds_its_own_steps() -> None:
    found = steps('block = "cap"\n[[cards.steps]]\nblock = "cap"\nagain = "at-the-end"\n')
    assert [step["id"] for step in found[1:]] == ["proved", "on", "proved-at-the-end", "on-at-the-end"]
    assert found[3]["hold_before"] == ["on-at-the-end"]


@pytest.mark.parametrize(
    ("row", "blocks", "says"),
    [
        (
            'block = "cpa"\n',
            BLOCKS,
            'work.toml, card c, block: there is no block called "cpa"; did you mean "cap"?',
        ),
        (
            'block = "cap"\n[[cards.steps.steps]]\nid = "prooved"\n',
            BLOCKS,
            'there is no step of the block "cap" called "prooved"; did you mean "proved"?',
        ),
        (
            'block = "a"\n',
            '[[blocks]]\nid = "a"\n[[blocks.steps]]\nblock = "a"\n',
            'the block "a" holds itself',
        ),
    ],
)
def test_a_block_nobody_wrote_is_told_with_file_and_card(row: str, blocks: str, says: str) -> None:
    with pytest.raises(SheetError, match=re.escape(says)):
        steps(row, blocks)


def test_a_complete_sheet_holds_no_block() -> None:
    for text in shipped_texts().values():
        assert not re.search(r"^(?:block|again) = |^\[\[(?:blocks|.*\.steps\.steps)", text, re.M)
