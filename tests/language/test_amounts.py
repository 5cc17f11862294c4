"""Filters that every page prints words and amounts by."""

from __future__ import annotations

import pytest

from tickover.language.amounts import as_sure_as, ended


@pytest.mark.parametrize(
    ("words", "printed"),
    [("waits for petals", "waits for petals."), ("Waits. ", "Waits."), ("Why?", "Why?"), ("", "")],
)
def test_somebodys_words_end_with_one_full_stop(words: str, printed: str) -> None:
    assert ended(words) == printed


@pytest.mark.parametrize(
    ("value", "expanded", "printed"),
    [
        (7931.62, 19.4, "7932"),
        (2090.04, 2.9, "2090.0"),
        (1.447, 0.41, "1.45"),
        (-0.3, 12.0, "0"),
        (181.04, 0.0, "181.0"),
        (None, 1.0, "–"),
    ],
)
def test_a_value_claims_no_more_than_its_uncertainty(
    value: float | None, expanded: float, printed: str
) -> None:
    """Digits to the place of the uncertainty's last: JCGM 100:2008, 7.2.6."""
    assert as_sure_as(value, expanded) == printed
