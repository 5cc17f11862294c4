"""What an action refuses is of one family, so that every page can say it."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

from tickover import workshop
from tickover.workshop.kernel.refusal import RefusedError

ROOT = Path(workshop.__file__).parent
APPS = sorted(
    ".".join(path.relative_to(ROOT.parents[1]).with_suffix("").parts)
    for path in ROOT.rglob("*actions.py")
    if "web" not in path.parts and path.parent.name != "kernel"
)


@pytest.mark.parametrize("module", APPS)
def test_the_errors_of_actions_are_one_family(module: str) -> None:
    errors = [
        thing
        for thing in vars(importlib.import_module(module)).values()
        if isinstance(thing, type) and issubclass(thing, Exception) and ".workshop." in thing.__module__
    ]
    own = [e for e in errors if ".kernel." not in e.__module__ and ".readings." not in e.__module__]
    assert [e for e in own if not issubclass(e, RefusedError)] == []
