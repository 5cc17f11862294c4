"""Filters that every page prints words and amounts by."""

from __future__ import annotations

import pytest

from tickover.workshop.people.templatetags.amounts import ended


@pytest.mark.parametrize(
    ("words", "printed"),
    [("waits for petals", "waits for petals."), ("Waits. ", "Waits."), ("Why?", "Why?"), ("", "")],
)
def test_somebodys_words_end_with_one_full_stop(words: str, printed: str) -> None:
    assert ended(words) == printed
