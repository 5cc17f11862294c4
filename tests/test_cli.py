"""The command line: what each command prints, and one line with a reason where it refuses."""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tickover.cli import main
from tickover.demo.tracklogs import make_igc

FLOWN = datetime(2025, 5, 4, 10, 0, tzinfo=UTC)
LAY_OUT = """
import django; django.setup()
from datetime import UTC, date, datetime
from django.core.management import call_command
from tickover.sheets import shipped_texts
from tickover.workshop.people import actions as people
from tickover.workshop.register import actions as register
now = datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
call_command("migrate", verbosity=0)
people.set_up_workshop("Test Bench", "", is_demo=False, works_alone=False, at=now)
who = people.add_person(people.NewPerson("ada", "Ada", "Test", "technician", "T-1"), at=now)
for name, text in shipped_texts().items():
    sheet = register.keep_sheet(text, name, actor="tickover", at=now)
owner = register.add_owner("Owner", who=who, at=now)
for name, serial, hours in (("Busy", "1200", 130.0), ("Idle", "1600", 0.0)):
    build = "external-pulse" if serial == "1200" else "internal-pulse"
    engine = register.add_engine(
        register.NewEngine(name, serial, sheet.sheet_id, build, date(2025, 1, 1)), owner, who=who, at=now)
    register.enter_hours(
        engine, register.TypedHours(hours, 0.1, date(2025, 2, 1), "log entry", "pilot's log"), who=who, at=now)
"""


@dataclass
class Shell:
    """Commands as a person types them, in a folder of their own."""

    data: Path
    environment: dict[str, str]

    def __call__(self, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
        return self.run(["-m", "tickover", *arguments], typed)

    def run(self, arguments: list[str], typed: str = "") -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *arguments],
            env=self.environment,
            cwd=self.data,
            input=typed,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )


def shell_in(data: Path) -> Shell:
    import os

    kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    settings = {"TICKOVER_DATA": str(data), "DJANGO_SETTINGS_MODULE": "tickover.workshop.settings"}
    return Shell(data, {**kept, **settings})


@pytest.fixture(scope="module")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    data = tmp_path_factory.mktemp("laid-out")
    done = shell_in(data).run(["-c", LAY_OUT])
    assert done.returncode == 0, done.stderr
    return data


@pytest.fixture
def tickover(laid_out: Path, tmp_path: Path) -> Shell:
    shutil.copytree(laid_out, tmp_path / "workshop")
    return shell_in(tmp_path / "workshop")


@pytest.fixture
def nothing(tmp_path: Path) -> Shell:
    (tmp_path / "nothing").mkdir()
    return shell_in(tmp_path / "nothing")


def refused(done: subprocess.CompletedProcess[str], says: str) -> None:
    """One line that says why, and the exit code for it; never a traceback."""
    assert done.returncode == 1
    assert says in done.stderr and done.stderr.count("\n") == 1, done.stderr


def flight(tmp_path: Path, **more: Any) -> Path:
    path = tmp_path / "flight.igc"
    path.write_bytes(make_igc(np.random.default_rng(3), FLOWN, [(2.0, 32.0), (45.0, 57.0)], **more))
    return path


def test_hours_of_a_track_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hours", str(flight(tmp_path))]) == 0
    out = capsys.readouterr().out
    # Two runs were flown, of 30 and of 12 minutes: 0.70 h.
    assert out.startswith("flight.igc: 0.70 h of engine time") and "2 starts" in out
    assert "grade: track log with engine noise" in out
    assert out.count("\n  run ") == 2
    assert "log of 2025-05-04 from 10:00:00 to" in out


def test_hours_of_a_log_without_a_noise_channel_say_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["hours", str(flight(tmp_path, channel=None))]) == 0
    assert "grade: track log without engine noise" in capsys.readouterr().out


def test_hours_name_the_lines_left_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = flight(tmp_path)
    lines = path.read_bytes().split(b"\r\n")
    lines[20] = b"B10broken"
    path.write_bytes(b"\r\n".join(lines))
    assert main(["hours", str(path)]) == 0
    assert "left out line 21: the fix ends after 9 of 35 characters" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"%PDF-1.7", "a PDF document"),
        (b"hello\n", "no flight"),
        (b"B1\n", "none of the 1 B records"),
    ],
)
def test_hours_of_what_is_no_track_log_are_one_line_and_exit_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], data: bytes, says: str
) -> None:
    path = tmp_path / "odd.igc"
    path.write_bytes(data)
    assert main(["hours", str(path)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and err.startswith(f"{path}: ") and says in err and err.count("\n") == 1


def test_hours_of_a_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hours", str(tmp_path / "none.igc")]) == 1
    assert capsys.readouterr().err == f"{tmp_path / 'none.igc'}: No such file or directory.\n"


def test_hours_need_no_workshop_and_make_none(nothing: Shell, tmp_path: Path) -> None:
    assert nothing("hours", str(flight(tmp_path))).returncode == 0
    assert list(nothing.data.iterdir()) == []


@pytest.mark.parametrize(
    "arguments", [["polish"], [], ["hours"], ["verify", "--paper", "1"], ["open", "--port", "x"]]
)
def test_wrong_arguments_exit_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage: tickover" in capsys.readouterr().err


def test_what_is_due_the_most_urgent_first(tickover: Shell) -> None:
    done = tickover("due")
    lines = done.stdout.splitlines()
    assert done.returncode == 0 and lines[0].startswith("Busy, ")
    assert any("Carburettor diaphragm service: due now: 30.0 h past its hours" in line for line in lines)
    everything = tickover("due", "--all").stdout.splitlines()
    assert len(everything) == 6 and set(lines) <= set(everything)


def test_verify_says_the_head_and_exits_0(tickover: Shell) -> None:
    done = tickover("verify")
    assert done.returncode == 0 and done.stderr == ""
    assert "journal entries" in done.stdout and "Journal head: entry 8, " in done.stdout


def head(tickover: Shell) -> tuple[str, str]:
    words = tickover("verify").stdout.split("Journal head: entry ")[1].split(", ")
    return words[0], words[1].strip()


def test_verify_exits_1_and_names_what_was_changed(tickover: Shell) -> None:
    import sqlite3

    with sqlite3.connect(tickover.data / "workshop.sqlite3") as book:
        book.execute("UPDATE register_enginetimeentry SET duration_h = 13.0 WHERE duration_h = 130.0")
    book.close()
    done = tickover("verify")
    assert done.returncode == 1 and "All is as it was written" not in done.stdout
    (fault,) = [line for line in done.stdout.splitlines() if line.startswith("FAULT")]
    assert "the record does not say what its entry says" in fault


def test_a_paper_is_held_against_the_journal(tickover: Shell) -> None:
    sequence, digest = head(tickover)
    for printed in (digest, digest[:8], digest[:16].upper()):
        assert tickover("verify", "--paper", sequence, printed).returncode == 0


@pytest.mark.parametrize(
    ("sequence", "printed", "says"),
    [
        ("8", "0" * 64, "the paper's hash"),
        ("8", "", "the paper's hash"),
        ("8", "abc", "the paper's hash"),
        ("999", "0" * 64, "is not in this journal"),
        ("eight", "0" * 64, "is not in this journal"),
        ("9" * 30, "0" * 64, "is not in this journal"),
    ],
)
def test_a_paper_that_does_not_fit_is_told(tickover: Shell, sequence: str, printed: str, says: str) -> None:
    done = tickover("verify", "--paper", sequence, printed)
    assert done.returncode == 1 and says in done.stdout


def test_backup_and_restore_bring_the_workshop_to_another_folder(
    tickover: Shell, nothing: Shell, tmp_path: Path
) -> None:
    kept = tmp_path / "kept.tar.gz"
    made = tickover("backup", str(kept))
    assert made.returncode == 0 and str(kept) in made.stdout
    restored = nothing("restore", str(kept))
    assert restored.returncode == 0 and "All is as it was written" in restored.stdout
    assert head(nothing) == head(tickover)


def test_a_link_to_sign_in_is_printed(tickover: Shell) -> None:
    done = tickover("sign-in", "ada", "--port", "9000")
    assert done.returncode == 0 and done.stdout.startswith("http://127.0.0.1:9000/sign-in/")


def test_nobody_is_signed_in_who_does_not_work_here(tickover: Shell) -> None:
    refused(tickover("sign-in", "bo"), "Nobody here is called bo. Known: ada.")


@pytest.mark.parametrize(
    "arguments",
    [("due",), ("verify",), ("sign-in", "ada"), ("backup", "b.tar.gz")],
    ids=["due", "verify", "sign-in", "backup"],
)
def test_where_there_is_no_workshop_a_command_says_how_to_get_one(
    nothing: Shell, arguments: tuple[str, ...]
) -> None:
    refused(nothing(*arguments), "There is no workshop in")
    assert not (nothing.data / "b.tar.gz").exists()


def test_a_backup_that_cannot_be_written_says_so(tickover: Shell, tmp_path: Path) -> None:
    (tmp_path / "a-file").write_text("")
    refused(tickover("backup", str(tmp_path / "a-file" / "b.tar.gz")), "cannot be written")


def added(nothing: Shell, password: str) -> subprocess.CompletedProcess[str]:
    """Add a person with this password typed blind."""
    script = (
        "import getpass, sys; getpass.getpass = lambda *_: sys.stdin.readline().strip();"
        "from tickover.cli import main; sys.exit(main(sys.argv[1:]))"
    )
    arguments = ["add-person", "cleo", "--first-name", "Cleo", "--last-name", "Test", "--role", "technician"]
    return nothing.run(["-c", script, *arguments], password + "\n")


def test_the_first_person_of_a_new_workshop(nothing: Shell) -> None:
    refused(added(nothing, "short"), "too short")
    done = added(nothing, "carburettor on the bench")
    assert done.returncode == 0 and "Cleo Test may sign in as cleo." in done.stdout
    refused(added(nothing, "carburettor on the bench"), "cleo is taken")
    assert nothing("verify").returncode == 0


def test_the_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    for command in ("open", "hours", "due", "verify", "backup", "restore", "sign-in", "add-person"):
        assert f"\n    {command} " in out
