"""A small workshop for tests: its crew, its type sheet, an engine of each build, and hands to do the work."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import django
import hypothesis
import numpy as np
import pytest

from tests.first_compile import everything_is_compiled, wait_for_the_first
from tests.kept import once
from tests.waiting_first import spread

# How long an example takes tells of the machine's load, not of the code.
hypothesis.settings.register_profile("tickover", deadline=None)
hypothesis.settings.load_profile("tickover")

wait_for_the_first()
DATA = tempfile.mkdtemp(prefix="tickover-tests-")
# Before anything reads the settings: no test touches a workshop that somebody uses.
os.environ["TICKOVER_DATA"] = DATA
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tickover.workshop.settings")
(Path(DATA) / "static").mkdir()
django.setup()

NOW = datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
NOW_DAY = NOW.date()
PASSWORD = "a-long-enough-password"


def pytest_collection_finish() -> None:
    everything_is_compiled()


def pytest_unconfigure() -> None:
    shutil.rmtree(DATA, ignore_errors=True)


@dataclass(frozen=True)
class Crew:
    technician: Any
    inspector: Any
    manager: Any


@dataclass
class Hands:
    """Work on a job as people do it: a reading in the middle of its limits, a finding that lets it go on."""

    crew: Crew
    at: datetime

    def open(self, engine: Any, task_id: str = "flange-check") -> Any:
        from tickover.workshop.visits import actions

        return actions.open_job(engine, task_id, who=self.crew.technician, at=self.at)

    def do(self, job: Any, step_id: str, *, typed: str = "", finding: str = "", checked: bool = True) -> None:
        from tickover.workshop.readings.input_fields import TypedReading
        from tickover.workshop.readings.measuring import typed_reading_giving
        from tickover.workshop.visits import actions, queries

        line = queries.job_sheet(job).step(step_id)
        if line.limit:
            typed = typed or typed_reading_giving(line.site, _middle(line.limit))
            if line.sets_torque and line.step.critical:
                entry = TypedReading.of(typed) if isinstance(typed, str) else typed
                typed = replace(entry, instrument=self._wrench())
            actions.take_reading(job, step_id, typed, who=self.crew.technician, at=self.at)
        good = [f.id for f in line.step.findings if f.action in ("continue", "replace")]
        finding = finding or (good[0] if good else "")
        no_photo = "no camera in the hangar" if line.step.photo else ""
        if line.step.runs_engine:
            actions.confirm_cautions(job, step_id, who=self.crew.technician, at=self.at)
        actions.mark_done(
            job, step_id, finding_id=finding, no_photo=no_photo, who=self.crew.technician, at=self.at
        )
        if line.step.second_check and checked:
            actions.second_check(job, step_id, who=self.crew.inspector, at=self.at, typed=typed)

    def _wrench(self) -> str:
        """Number of a torque wrench in calibration; a critical torque without one waits for an inspector."""
        from tickover.workshop.instruments import actions, queries

        if not queries.gauge_of("TW-90"):
            new = actions.NewInstrument(
                "TW-90", "torque-wrench", "Torque wrench", "N.m", 0.1, 0.0, 4.0, 1.0, 100.0, tool_class="II A"
            )
            by = {"who": self.crew.manager, "at": self.at}
            row = actions.add_instrument(new, **by)
            until = self.at.date() + timedelta(days=2000)
            actions.calibrate(
                row, actions.NewCalibration(self.at.date() - timedelta(days=30), "TW-90-C", until), **by
            )
        return "TW-90"

    def do_all(self, job: Any, *, but: tuple[str, ...] = ()) -> None:
        from tickover.workshop.visits import queries

        for line in queries.job_sheet(job).steps:
            if not line.done and line.step.id not in but:
                self.do(job, line.step.id)

    def release(self, job: Any, *, who: Any = None, at: datetime | None = None) -> Any:
        from tickover.workshop.visits import actions

        words = actions.ReleaseWords()
        return actions.release(job, words, who=who or self.crew.technician, at=at or self.at)


def _middle(limit: Any) -> float:
    """The nominal value, else one well inside the limits."""
    if limit.nominal is not None:
        return float(limit.nominal)
    if limit.lower is not None and limit.upper is not None:
        return float(limit.lower + limit.upper) / 2
    return 0.5 * float(limit.upper) if limit.lower is None else 1.5 * float(limit.lower)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def data_folder(settings: Any, tmp_path: Path) -> Path:
    settings.DATA, settings.FILES = tmp_path, tmp_path / "files"
    return tmp_path


@pytest.fixture
def fast_passwords(settings: Any) -> None:
    """Argon2 is slow on purpose, which a test need not wait for."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def crew(db: None, data_folder: Path, fast_passwords: None) -> Crew:
    from tickover.workshop.people.actions import NewPerson, add_person

    def hire() -> Crew:
        return Crew(
            add_person(NewPerson("tilda", "Tilda", "Reeve", "technician", "T-1", PASSWORD), at=NOW),
            add_person(NewPerson("ingo", "Ingo", "Halm", "inspector", "I-1", PASSWORD), at=NOW),
            add_person(NewPerson("maud", "Maud", "Ferrer", "manager", "", PASSWORD), at=NOW),
        )

    return once("crew", hire, data_folder)


@pytest.fixture
def shop(crew: Crew, data_folder: Path) -> Any:
    from tickover.workshop.people.actions import set_up_workshop

    def set_up() -> Any:
        return set_up_workshop("Test Bench", "", is_demo=False, works_alone=False, at=NOW)

    return once("shop", set_up, data_folder)


@pytest.fixture
def sheet(shop: Any, data_folder: Path) -> Any:
    from tickover.sheets import shipped_texts
    from tickover.workshop.register.actions import keep_sheet

    name = "velisk-185.toml"
    return once(
        "sheet", lambda: keep_sheet(shipped_texts()[name], name, actor="tickover", at=NOW), data_folder
    )


def _engine(name: str, serial: str, build_id: str, crew: Crew, sheet: Any) -> Any:
    from tickover.workshop.register import actions

    owner = actions.add_owner(f"Owner of {name}", who=crew.manager, at=NOW)
    new = actions.NewEngine(name, serial, sheet.sheet_id, build_id, date(2025, 1, 1))
    return actions.add_engine(new, owner, who=crew.manager, at=NOW)


@pytest.fixture
def outer(crew: Crew, sheet: Any, data_folder: Path) -> Any:
    """An engine with an external pulse hose."""
    return once("outer", lambda: _engine("Outer", "1200", "external-pulse", crew, sheet), data_folder)


@pytest.fixture
def inner(crew: Crew, sheet: Any, data_folder: Path) -> Any:
    """An engine with an internal pulse passage."""
    return once("inner", lambda: _engine("Inner", "1600", "internal-pulse", crew, sheet), data_folder)


@pytest.fixture
def hands(crew: Crew) -> Hands:
    return Hands(crew, NOW)


@pytest.fixture
def signed_in() -> Callable[[Any], Any]:
    """A browser in which this person is signed in."""
    from django.test import Client

    def sign_in(person: Any) -> Client:
        client = Client()
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return sign_in


@pytest.fixture
def igc() -> Callable[..., bytes]:
    """An invented flight, by default one run of 30 minutes, ended well before now."""
    from tickover.demo.tracklogs import make_igc

    def make(
        start: datetime = NOW - timedelta(days=1), *, minutes: float = 30.0, seed: int = 1, **more: Any
    ) -> bytes:
        return make_igc(np.random.default_rng(seed), start, [(2.0, 2.0 + minutes)], **more)

    return make


@pytest.fixture
def hours(crew: Crew) -> Callable[..., Any]:
    """Enter engine time that somebody wrote down."""
    from tickover.workshop.engine_time import actions as time_actions

    def enter(engine: Any, hours_h: float, on_day: date = NOW_DAY, sd_h: float = 0.1) -> Any:
        typed = time_actions.TypedHours(hours_h, sd_h, on_day, "log entry", "pilot's log")
        return time_actions.enter_hours(engine, typed, who=crew.manager, at=NOW + timedelta(days=1000))

    return enter


@pytest.fixture
def verified(db: None, data_folder: Path) -> Iterator[None]:
    """After the test the whole journal is recomputed: whatever it did, the book holds."""
    from tickover.workshop.audit.verify import verify

    yield
    assert verify().faults == ()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    spread(items)
