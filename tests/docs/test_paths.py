"""Every path that the documents for newcomers name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "tickover"
FROM = (ROOT, PACKAGE, PACKAGE / "workshop")
ENDINGS = r"\.(?:py|md|toml|svg|typ|html|txt)"
MADE_BY_MAKE = (".venv",)


def named_paths(text: str) -> list[str]:
    """Words in backticks that have a slash in them or end as a file does."""
    prose = re.sub(r"^```.*?^```", "", text, flags=re.M | re.S)
    words = [word for quoted in re.findall(r"`([^`]+)`", prose) for word in quoted.split()]
    return [w for w in words if re.fullmatch(r"[\w./-]+", w) and ("/" in w or re.search(f"{ENDINGS}$", w))]


def tree_paths(text: str) -> list[str]:
    """The folders and files of the README's tree, from the root."""
    found, above = [], ""
    tree = re.search(r"^```\n(src/tickover/\n.*?)^```", text, re.M | re.S)
    assert tree
    for line in tree[1].splitlines():
        names = re.findall(
            r"(?<![\w./])[\w.]+(?:/[\w.]+)*(?:/|\.py\b)", re.split(r"\s{3,}(?=\S)", line.strip())[0]
        )
        depth = len(line) - len(line.lstrip())
        if depth == 2:
            above = names[0]
        found += [{0: "", 2: "src/tickover/", 4: f"src/tickover/{above}"}[depth] + name for name in names]
    return found


@pytest.mark.parametrize("document", ["CONTRIBUTING.md", "README.md", "docs/architecture.md"])
def test_every_path_that_a_document_names_is_there(document: str) -> None:
    named = named_paths((ROOT / document).read_text(encoding="utf-8"))
    named = [path for path in named if not path.startswith(MADE_BY_MAKE)]
    bare = {"models.py", "queries.py", "actions.py", "forms.py", "views.py", "urls.py", "templates/"}
    missing = [p for p in named if p not in bare and not any((root / p).exists() for root in FROM)]
    assert missing == []


def test_every_folder_of_the_tree_in_the_readme_is_there_and_none_is_left_out() -> None:
    named = tree_paths((ROOT / "README.md").read_text(encoding="utf-8"))
    assert [path for path in named if not (ROOT / path).exists()] == []
    for above in ("", "science/", "workshop/"):
        folders = {
            f"src/tickover/{above}{p.name}/"
            for p in (PACKAGE / above).iterdir()
            if (p / "__init__.py").exists()
        }
        assert folders - set(named) == set()


def test_the_walk_through_the_house_has_sixty_lines_at_most() -> None:
    text = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
    walk = text.split("## One feature through the house\n")[1].split("\n## ")[0]
    assert len(walk.splitlines()) <= 60
    assert len(re.findall(r"`(?:src|tests)/\S+`", walk)) >= 10
