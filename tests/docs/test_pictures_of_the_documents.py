"""The pictures in the documents are those that their scripts draw today."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

DOCS = Path(__file__).resolve().parents[2] / "docs"


def script(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, DOCS / f"{name}.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["limit-box.svg", "too-close.svg", "run-up-strip.svg"])
def test_a_picture_of_the_readme_is_fresh(name: str) -> None:
    drawn = script("draw_pictures").DRAWN[name]()
    assert drawn == (DOCS / "pictures" / name).read_text(encoding="utf-8"), "run docs/draw_pictures.py"
    assert f"docs/pictures/{name}" in (DOCS.parent / "README.md").read_text(encoding="utf-8")


def test_the_picture_of_the_architecture_is_fresh() -> None:
    drawn = script("draw_architecture").drawing()
    kept = (DOCS / "pictures" / "architecture.svg").read_text(encoding="utf-8")
    assert drawn == kept, "run docs/draw_architecture.py"


def test_every_folder_imports_only_from_below_itself() -> None:
    picture = (DOCS / "pictures" / "architecture.svg").read_text(encoding="utf-8")
    order = script("draw_architecture").folders()
    dots = re.findall(r"<title>(\S+) imports (\S+)</title>", picture)
    assert len(dots) > len(order)
    assert [(here, there) for here, there in dots if order.index(there) >= order.index(here)] == []
