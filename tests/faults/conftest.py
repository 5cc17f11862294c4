"""A workshop in a folder of its own, worked on by processes of their own."""

from __future__ import annotations

import http.client
import json
import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

import pytest

from tests.faults.forking import Started, run

# What every script begins with. Each waits for the word to go, so that several begin at one moment.
OPENING = """
import sys, time, traceback
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
import django
django.setup()
import numpy as np
from tickover.demo.tracklogs import make_igc
from tickover.workshop.visits import actions as visit_actions, queries as visits
from tickover.workshop.visits.models import Job
from tickover.workshop.people import actions as people
from tickover.workshop.people.models import Person
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.register import actions as register
from tickover.workshop.register.models import Engine, EngineTimeEntry
NOW = datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
def person(name): return Person.objects.get(username=name)
def flight(seed, start=NOW - timedelta(days=1)):
    return make_igc(np.random.default_rng(seed), start, [(1.0, 4.0)], interval_s=10)
def on_the_word():
    print("ready", flush=True)
    sys.stdin.readline()
"""
LAY_OUT = """
from django.core.management import call_command
from tickover.sheets import shipped_texts
call_command("migrate", verbosity=0)
people.set_up_workshop("Test Bench", "", is_demo=False, works_alone=False, at=NOW)
crew = [people.NewPerson(u, u.title(), "Test", "technician", f"T-{u}") for u in ("ada", "bo")]
crew = [people.add_person(new, at=NOW) for new in crew]
name = "velisk-185.toml"
sheet = register.keep_sheet(shipped_texts()[name], name, actor="tickover", at=NOW)
owner = register.add_owner("Owner", who=crew[0], at=NOW)
new = register.NewEngine("Outer", "1200", sheet.sheet_id, "external-pulse", date(2025, 1, 1))
engine = register.add_engine(new, owner, who=crew[0], at=NOW)
time_actions.add_track_log(engine, flight(0, NOW - timedelta(days=3)), "first.igc", who=crew[0], at=NOW)
from dataclasses import replace
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.readings.input_fields import TypedReading
wrench = instruments.add_instrument(
    instruments.NewInstrument(
        "TW-90", "torque-wrench", "Torque wrench", "N.m", 0.1, 0.0, 4.0, 1.0, 100.0, tool_class="II A"
    ),
    who=crew[0],
    at=NOW,
)
valid = instruments.NewCalibration(NOW.date() - timedelta(days=30), "TW-90-C", NOW.date() + timedelta(days=2000))
instruments.calibrate(wrench, valid, who=crew[0], at=NOW)
job = visit_actions.open_job(engine, "flange-check", who=crew[0], at=NOW)
for line in visits.job_sheet(job).steps:
    typed = ""
    if line.limit:
        typed = replace(TypedReading.of("10"), instrument="TW-90")
        visit_actions.take_reading(job, line.step.id, typed, who=crew[0], at=NOW)
    found = line.step.findings[0].id if line.step.findings else ""
    if line.step.runs_engine:
        visit_actions.confirm_cautions(job, line.step.id, who=crew[0], at=NOW)
    visit_actions.mark_done(job, line.step.id, finding_id=found, who=crew[0], at=NOW)
    if line.step.second_check:
        visit_actions.second_check(job, line.step.id, who=crew[1], at=NOW, typed=typed)
"""
SIGN_IN = """
import json
from django.utils import timezone
print(json.dumps(people.make_sign_in_link(person("NAME"), at=timezone.now())))
"""


@dataclass
class Folder:
    """One workshop on disk."""

    data: Path
    database: str = ""
    """Where its records are on a PostgreSQL server; "" for SQLite in the folder."""

    @property
    def environment(self) -> dict[str, str]:
        kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
        return {
            **kept,
            **({"DATABASE_URL": self.database} if self.database else {}),
            "TICKOVER_DATA": str(self.data),
            "DJANGO_SETTINGS_MODULE": "tickover.workshop.settings",
        }

    def start(self, script: str, *arguments: str) -> subprocess.Popen[str]:
        """A process that waits, ready, for a line on its standard input."""
        return Started(
            [sys.executable, "-c", OPENING + script, *arguments],
            env=self.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def at_once(self, script: str, *each: tuple[str, ...]) -> list[str]:
        """Run the script in as many processes as there are arguments, all from one moment; what each said."""
        running = [self.start(script, *arguments) for arguments in each]
        for process in running:
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n", process.communicate()[1]
        for process in running:
            assert process.stdin is not None
            process.stdin.write("go\n")
            process.stdin.flush()
        return ["".join(process.communicate(timeout=60)) for process in running]

    def ask(self, script: str) -> Any:
        """What a script that is run by itself prints, as JSON."""
        process = self.start(script)
        out, err = process.communicate(timeout=60)
        assert process.returncode == 0, err
        return json.loads(out.splitlines()[-1])

    def tickover(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return run(sys.executable, "-m", "tickover", *arguments, env=self.environment)

    @contextmanager
    def open_shop(self, *more: str, **environment: str) -> Iterator[OpenShop]:
        """`tickover open`, ready for its first request, on a port that was free."""
        log = self.data.with_suffix(".log")
        with log.open("w") as written:
            process = Started(
                [sys.executable, "-m", "tickover", "open", "--port", "0", *more],
                env={**self.environment, **environment},
                stdout=subprocess.PIPE,
                stderr=written,
                text=True,
            )
            try:
                assert process.stdout is not None
                address = next((line.strip() for line in process.stdout if "http://" in line), "")
                assert address, log.read_text()
                yield OpenShop(self, process, int(address.split(":")[2].split("/")[0]), log)
            finally:
                process.kill()
                process.wait()

    def files(self) -> dict[str, bytes]:
        """Everything in the folder but its locks, by name."""
        kept = [p for p in self.data.rglob("*") if p.is_file() and p.suffix != ".lock"]
        return {str(p.relative_to(self.data)): p.read_bytes() for p in kept}


@dataclass
class Answer:
    status: int
    headers: http.client.HTTPMessage
    text: str

    @property
    def cookies(self) -> str:
        return "; ".join(line.split(";")[0] for line in self.headers.get_all("Set-Cookie", []))


@dataclass
class OpenShop:
    """A workshop that is open on the loopback address."""

    folder: Folder
    process: subprocess.Popen[str]
    port: int
    log: Path

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def sign_in(self, username: str = "ada") -> str:
        """The cookie of a person who is signed in."""
        token = self.folder.ask(SIGN_IN.replace("NAME", username))
        return self.get(f"/sign-in/{token}/").cookies

    def get(self, path: str, cookie: str = "") -> Answer:
        return self.ask("GET", path, headers={"Cookie": cookie} if cookie else {})

    def post(self, path: str, cookie: str, **fields: str) -> Answer:
        """A form with its token, as a browser without script sends it."""
        token = "t" * 32
        headers = {
            "Cookie": f"{cookie}; tickover_csrf={token}",
            "Content-Type": "application/x-www-form-urlencoded",
            "Origin": self.address,
        }
        return self.ask("POST", path, urlencode({"csrfmiddlewaretoken": token, **fields}), headers)

    def ask(self, method: str, path: str, body: str | None = None, headers: dict[str, str] = {}) -> Answer:  # noqa: B006
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        with closing(connection):
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return Answer(answer.status, answer.headers, answer.read().decode())


@pytest.fixture
def new_folder(tmp_path: Path) -> Callable[[str], Folder]:
    def make(name: str) -> Folder:
        (tmp_path / name).mkdir()
        return Folder(tmp_path / name)

    return make


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """Laid out once and copied for each test: two technicians, one engine, one job ready for release."""
    folder = Folder(tmp_path_factory.mktemp("laid-out"))
    process = folder.start(LAY_OUT)
    _, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    return folder


@pytest.fixture
def folder(laid_out: Folder, tmp_path: Path) -> Folder:
    shutil.copytree(laid_out.data, tmp_path / "workshop")
    return Folder(tmp_path / "workshop")


class Server:
    """Databases of their own on the PostgreSQL server that the tests run on."""

    def __init__(self, address: str) -> None:
        self.address = urlsplit(address)
        self.made: list[str] = []

    def make(self, template: str = "template1") -> str:
        """The address of a new database, empty or like another."""
        name = f"tickover_faults_{secrets.token_hex(6)}"
        self.do(f"CREATE DATABASE {name} TEMPLATE {template.rpartition('/')[2]}")
        self.made.append(name)
        return self.address._replace(path=f"/{name}").geturl()

    def do(self, statement: str) -> None:
        import psycopg

        with psycopg.connect(self.address.geturl(), autocommit=True) as connection:
            connection.execute(statement.encode())


@pytest.fixture(scope="session")
def server() -> Iterator[Server | None]:
    """The server that DATABASE_URL names, else none: the tests then keep their books in SQLite."""
    address = os.environ.get("DATABASE_URL")
    server = Server(address) if address else None
    yield server
    for name in server.made if server else ():
        server.do(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def laid_out_book(laid_out: Folder, server: Server | None) -> Folder:
    """The same workshop, on the database that the tests run on."""
    if server is None:
        return laid_out
    folder = Folder(laid_out.data, server.make())
    _, err = folder.start(LAY_OUT).communicate(timeout=120)
    assert folder.ask("import json; print(json.dumps(Job.objects.count()))") == 1, err
    return folder


@pytest.fixture
def book(laid_out_book: Folder, server: Server | None, tmp_path: Path) -> Folder:
    """A workshop of each test's own, on the database that the tests run on."""
    shutil.copytree(laid_out_book.data, tmp_path / "workshop")
    return Folder(tmp_path / "workshop", server.make(laid_out_book.database) if server else "")


@pytest.fixture
def empty_book(server: Server | None, tmp_path: Path) -> Folder:
    """A folder, and a database, with nothing in it yet."""
    (tmp_path / "empty").mkdir()
    return Folder(tmp_path / "empty", server.make() if server else "")


@pytest.fixture
def today() -> datetime:
    return datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
