"""The tasks on the page for Python, and the examples in the docstrings of the library, run and say what they print."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile

import tickover
from tickover import library
from tickover.demo.enginesound import engine_sound
from tickover.demo.runups import Behaviour, logger_csv
from tickover.demo.tracklogs import make_igc

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "python.md"
HEAVY = {"numpy", "scipy", "django", "soundfile", "PIL", "pydantic"}
SOUND_HZ = 16_000


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A flight with half an hour of engine, a run-up, and ten seconds of sound at 2100 rpm."""
    flight = make_igc(np.random.default_rng(1), datetime(2026, 5, 4, 6, tzinfo=UTC), [(2.0, 32.0)])
    (tmp_path / "flight.igc").write_bytes(flight)
    (tmp_path / "run-up.csv").write_bytes(logger_csv(np.random.default_rng(2), Behaviour()))
    sound, _ = engine_sound(np.random.default_rng(3), np.full(10 * SOUND_HZ, 2100.0), SOUND_HZ)
    soundfile.write(tmp_path / "run.wav", 0.5 * sound, SOUND_HZ)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def modules() -> list[ModuleType]:
    names = [info.name for info in pkgutil.iter_modules(library.__path__, f"{library.__name__}.")]
    return [importlib.import_module(name) for name in names]


def test_every_task_on_the_page_runs_and_prints_what_the_page_shows(files: Path) -> None:
    done = doctest.testfile(str(PAGE), module_relative=False)
    assert done.attempted >= 30
    assert done.failed == 0


def test_the_page_has_ten_tasks_and_uses_every_function_of_the_library() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert [f"## {number}. " in text for number in range(1, 11)] == [True] * 10
    functions = [name for name in tickover.__all__ if name[0].islower()]
    assert [name for name in functions if f"tickover.{name}(" not in text] == []


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.__name__)
def test_the_examples_in_a_module_of_the_library_run(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


def test_every_function_of_the_library_says_what_it_takes_gives_and_refuses() -> None:
    functions = {name: getattr(tickover, name) for name in tickover.__all__ if name[0].islower()}
    wanted = ("Parameters\n", "Returns\n", "Raises\n", "Examples\n")
    lacking = {
        name: [word.strip() for word in wanted if word not in (function.__doc__ or "")]
        for name, function in functions.items()
    }
    assert {name: words for name, words in lacking.items() if words} == {}


def test_importing_the_package_loads_no_library_of_others() -> None:
    told = subprocess.run(
        [sys.executable, "-c", "import sys, tickover; print(*sys.modules)"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert HEAVY & {name.split(".")[0] for name in told.stdout.split()} == set()


def test_every_name_of_the_library_is_there_and_no_other_is_promised() -> None:
    assert [name for name in tickover.__all__ if not hasattr(tickover, name)] == []
    assert set(tickover.__all__) <= set(dir(tickover))
    assert {name for names in tickover._HOME.values() for name in names} == set(tickover.__all__)
    with pytest.raises(AttributeError, match="no attribute 'reed'"):
        getattr(tickover, "reed")  # noqa: B009
