"""Pages, papers, messages and the command line speak present-day English: no word of an old dialect of ours."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src" / "tickover"
DIALECT = re.compile(
    r"\b(?:told|tells?|heard|hears|stands|standing|stood|laid|beside|somebody|put right|goes first|"
    r"all the same|held against|hold \w+ against|against a release|in trouble|no chance|counts? no more|"
    r"the moment|a hand now|hand(?:ed)? in|looked at|at the part itself|guarded rule|simple rule)\b",
    re.IGNORECASE,
)
ALLOWED = {
    "stands still": "an engine or a shaft at rest, as the trade says it",
    "standing still": "the same",
    "stand still": "the same",
    "cannot tell": "the verdict by that name: it is written into readings, so it is never renamed",
}
"""Uses that are plain English, with the reason."""
KINDS = {
    "logger columns told": "a kind of journal entry: what is written and hashed is never renamed",
}
UNSEEN = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->", re.DOTALL)
SAID_BY_A_TAG = re.compile(r"""(?:aria-label|alt|title|placeholder)="([^"]*)\"""")
NOT_FOR_PEOPLE = ("migrations", "demo", "shipped")


def of_template(text: str) -> str:
    """What people see or have read to them."""
    plain = UNSEEN.sub(" ", text)
    return " ".join([*SAID_BY_A_TAG.findall(plain), re.sub(r"<[^>]*>", " ", plain)])


def of_paper(text: str) -> str:
    """The words of a typst template without its comments and code names."""
    return re.sub(r"//[^\n]*|#[\w.]+", " ", text)


def sentences_of(text: str) -> Iterator[str]:
    """Every text in the code that is two words or more and no docstring."""
    tree = ast.parse(text)
    docstrings = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in docstrings)
    for node in texts:
        if isinstance(node.value, str) and " " in node.value.strip():
            yield node.value


def dialect_in(text: str) -> list[str]:
    for use in (*ALLOWED, *KINDS):
        text = text.replace(use, "")
    return [found[0] for found in DIALECT.finditer(" ".join(text.split()))]


def files(*patterns: str) -> list[Path]:
    found = [p for pattern in patterns for p in SOURCE.rglob(pattern)]
    return sorted(p for p in found if not set(NOT_FOR_PEOPLE) & set(p.parts))


@pytest.mark.parametrize("path", files("*.html"), ids=lambda p: p.name)
def test_no_page_speaks_dialect(path: Path) -> None:
    assert dialect_in(of_template(path.read_text())) == []


@pytest.mark.parametrize("path", files("*.typ"), ids=lambda p: p.name)
def test_no_paper_speaks_dialect(path: Path) -> None:
    assert dialect_in(of_paper(path.read_text())) == []


def test_no_message_speaks_dialect() -> None:
    found = {
        f"{path.relative_to(SOURCE)}: {said}": words
        for path in files("*.py")
        for said in sentences_of(path.read_text())
        if (words := dialect_in(said))
    }
    assert found == {}


def test_the_dialect_is_found_where_it_is_spoken() -> None:
    assert dialect_in(
        of_template('<p aria-label="It is heard">6 things {# told #} stand against a release</p>')
    ) == [
        "heard",
        "against a release",
    ]
    assert list(sentences_of('"""It is told."""\nsaid = "it is told"')) == ["it is told"]
    assert dialect_in("The shaft stands still.") == []
