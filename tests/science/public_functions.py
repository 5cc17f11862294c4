"""What of science is public: found by looking, so that nothing new is overlooked.

Public is what `__all__` names, and what another room imports. A folder of `FOLDERS` is one module in that: of its parts
only what is asked from outside of the folder is public.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from tickover import science

SOURCE = Path(science.__file__).parent.parent
FOLDERS = ("faults", "planning.sequential_ordering", "run_up", "sound")
ON_THEIR_OWN = ("run_up.needle_setting",)
"""Modules of such a folder that are asked by themselves."""
REFUSING = (
    "core.input_checks",
    "core.plausible",
    "core.kinds",
    "core.arrays",
    "core.results",
    "core.shapes",
    "core.working",
    "faults.refusals",
)
"""They are what refuses."""
SHOWING = ("working", "in_words")
"""Methods that print what is there."""


@cache
def modules() -> dict[str, ModuleType]:
    """Every module of science by its name in it."""
    start = len(science.__name__) + 1
    found = pkgutil.walk_packages(science.__path__, f"{science.__name__}.")
    return {info.name[start:]: importlib.import_module(info.name) for info in found}


@cache
def asked_from_outside() -> set[tuple[str, str]]:
    """Module and name of all that is imported from another room, or from outside of a folder."""
    found: set[tuple[str, str]] = set()
    for path in (*SOURCE.rglob("*.py"), *(SOURCE.parent.parent / "benchmarks").rglob("*.py")):
        room = ".".join(path.relative_to(SOURCE).parts) if path.is_relative_to(SOURCE) else "benchmarks"
        text = path.read_text(encoding="utf-8")
        # Most files name no module of science, and taking a text apart is slow.
        for node in ast.walk(ast.parse(text)) if science.__name__ in text else ():
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(science.__name__):
                module = str(node.module)[len(science.__name__) + 1 :]
                if not room.startswith("science.") or _folder(module) not in ("", _folder(room[8:])):
                    found |= {(module, alias.name) for alias in node.names}
    return found


def _folder(module: str) -> str:
    found = (folder for folder in FOLDERS if f"{module}.".startswith(f"{folder}."))
    return next(found, "") if module not in ON_THEIR_OWN else ""


@cache
def public() -> dict[str, Any]:
    """Public functions, and public methods that are asked something, by module and name."""
    asked, found = asked_from_outside(), {}
    for name, module in modules().items():
        for own, thing in vars(module).items():
            if own.startswith("_") or getattr(thing, "__module__", "") != module.__name__ or name in REFUSING:
                continue
            if not _is_public(name, own, module, asked):
                continue
            if inspect.isfunction(thing):
                found[f"{name}.{own}"] = thing
            elif inspect.isclass(thing):
                found |= {f"{name}.{own}.{method}": function for method, function in _methods(thing)}
    return found


def _is_public(name: str, own: str, module: ModuleType, asked: set[tuple[str, str]]) -> bool:
    if folder := _folder(name):
        return (name, own) in asked or own in modules()[folder].__all__
    return own in getattr(module, "__all__", vars(module)) or (name, own) in asked


def _methods(thing: type) -> Iterator[tuple[str, Any]]:
    for name, method in vars(thing).items():
        function = method.__func__ if isinstance(method, classmethod) else method
        if name.startswith("_") or name in SHOWING or not inspect.isfunction(function):
            continue
        if len(inspect.signature(function).parameters) > 1:
            yield name, function
