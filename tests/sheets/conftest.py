"""A shipped sheet to read, and a pencil to spoil it with."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tickover.sheets import SheetError, TypeSheet, load_sheet, shipped_sheets, shipped_texts

FILE = "velisk-185.toml"


@pytest.fixture(scope="session")
def text() -> str:
    """The complete text, with each list of words on one line, as people write it."""
    listed = re.compile(r"\[\n((?: +(?:\"[^\n]*\"|[\d.]+),\n)+)\]")
    return listed.sub(lambda words: f"[{' '.join(words[1].split()).rstrip(',')}]", shipped_texts()[FILE])


@pytest.fixture(scope="session")
def sheet() -> TypeSheet:
    return shipped_sheets()["velisk-185"]


@pytest.fixture
def complaint(text: str) -> Callable[..., str]:
    """What the loader says after `old` became `new`, first found after the text `after`."""

    def spoil(after: str, old: str, new: str) -> str:
        place = text.index(old, text.index(after))
        with pytest.raises(SheetError) as caught:
            load_sheet(text[:place] + new + text[place + len(old) :], FILE)
        return str(caught.value)

    return spoil
