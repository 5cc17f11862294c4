"""The science reference is what the code says today, and its index leads from standard terms to real functions."""

from __future__ import annotations

import re
from types import ModuleType

import pytest

from tests.docs.test_pictures_of_the_documents import DOCS, script

PAGE = DOCS / "science-reference.md"


@pytest.fixture(scope="module")
def writer() -> ModuleType:
    return script("draw_science_reference")


def test_the_science_reference_is_fresh(writer: ModuleType) -> None:
    assert writer.page() == PAGE.read_text(encoding="utf-8"), "run docs/draw_science_reference.py"


def test_every_link_inside_the_science_reference_has_its_place() -> None:
    text = PAGE.read_text(encoding="utf-8")
    places = set(re.findall(r'<a id="([^"]+)">', text))
    links = re.findall(r"\]\(#([^)]+)\)", text)
    assert len(links) >= 60
    assert [link for link in links if link not in places] == []


@pytest.mark.parametrize(
    "term",
    [
        "Weibull",
        "MTBF",
        "newsvendor",
        "density altitude",
        "nut factor",
        "Clopper-Pearson",
        "Kaplan-Meier",
        "dew point",
    ],
)
def test_the_index_has_the_terms_that_people_search_for(writer: ModuleType, term: str) -> None:
    assert any(term in entry for entry in writer.TERMS)


def test_an_index_that_names_what_is_not_there_is_not_written(
    writer: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(writer.TERMS, "phlogiston", ("engine.phlogiston",))
    with pytest.raises(SystemExit, match=r"engine\.phlogiston"):
        writer.page()
