"""Each mutant against the tests of its module, in a process of its own that begins with the libraries loaded."""

from __future__ import annotations

import importlib.abc
import importlib.util
import os
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import CodeType, ModuleType

import django  # noqa: F401  loaded once here, for all of them
import hypothesis
import numpy  # noqa: F401  loaded once here, for all of them
import pydantic  # noqa: F401  loaded once here, for all of them
import pytest
import scipy.ndimage
import scipy.optimize
import scipy.stats  # noqa: F401  loaded once here, for all of them

from benchmarks.mutation.changes import Mutant

SEED = "--hypothesis-seed=1"
PATIENCE = 10.0
"""A mutant that takes so many times as long as the module itself runs in a circle: noticed."""
DEFAULTS = hypothesis.settings(
    database=None,
    deadline=None,
    phases=(hypothesis.Phase.explicit, hypothesis.Phase.generate),
    max_examples=50,
)


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
    """Gives the changed text wherever the module is imported."""

    def __init__(self, name: str, path: Path, text: str) -> None:
        self.name, self.path, self.text = name, path, text

    def find_spec(self, fullname: str, path: object = None, target: object = None) -> object:
        if fullname != self.name:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.path))

    def get_source(self, fullname: str) -> str:
        return self.text

    def get_code(self, fullname: str) -> CodeType:
        return compile(self.text, str(self.path), "exec", dont_inherit=True)

    def exec_module(self, module: ModuleType) -> None:
        exec(self.get_code(self.name), module.__dict__)


def survivors(
    name: str, path: Path, mutants: Sequence[Mutant], tests: Sequence[str], workers: int
) -> Iterator[Mutant]:
    """Those that no test notices. Raises RuntimeError where the tests fail without any change."""
    assert name not in sys.modules, "a module that is loaded already would stay as it is"
    began = time.monotonic()
    if _exit_of(_start(name, path, path.read_text(), tests, 600)):
        raise RuntimeError(f"The tests of {name} fail without any change: {' '.join(tests)}")
    at_most_s = round(5 + PATIENCE * (time.monotonic() - began))
    running: dict[int, Mutant] = {}
    for mutant in mutants:
        if len(running) >= workers:
            yield from _ended(running)
        running[_start(name, path, mutant.text, tests, at_most_s)] = mutant
    while running:
        yield from _ended(running)


def _ended(running: dict[int, Mutant]) -> Iterator[Mutant]:
    process, status = os.wait()
    mutant = running.pop(process)
    if status == 0:
        yield mutant


def _exit_of(process: int) -> int:
    return os.waitpid(process, 0)[1]


def _start(name: str, path: Path, text: str, tests: Sequence[str], at_most_s: int) -> int:
    process = os.fork()
    if process:
        return process
    signal.alarm(at_most_s)  # ends this process, and the mutant counts as noticed
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    sys.meta_path.insert(0, _Changed(name, path, text))
    hypothesis.settings.register_profile("mutants", DEFAULTS)
    hypothesis.settings.load_profile("mutants")
    code = 1
    try:
        code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", SEED, *_without_django(tests), *tests]))
    finally:
        os._exit(code)


def _without_django(tests: Sequence[str]) -> tuple[str, ...]:
    """Tests of numbers and sheets alone need no workshop, and start in half the time."""
    return () if any("/workshop/" in test for test in tests) else ("--noconftest", "-p", "no:django")
