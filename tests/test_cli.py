"""The command line: what each command prints, and one line with a reason where it refuses."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.db import connection

from tickover.cli import main
from tickover.demo.tracklogs import make_igc

FLOWN = datetime(2025, 5, 4, 10, 0, tzinfo=UTC)


@dataclass
class Shell:
    """Commands as a person types them, in a folder of their own."""

    data: Path

    def __call__(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
        return subprocess.run(
            [sys.executable, "-m", "tickover", *arguments],
            env={**kept, "TICKOVER_DATA": str(self.data)},
            cwd=self.data,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )


@pytest.fixture
def nothing(tmp_path: Path) -> Shell:
    """A folder without a workshop."""
    (tmp_path / "nothing").mkdir()
    return Shell(tmp_path / "nothing")


@dataclass
class Said:
    code: int
    out: str
    err: str


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Run a command in this process, on the workshop of the test."""

    def run(*arguments: str) -> Said:
        code = main(arguments)
        return Said(code, *capsys.readouterr())

    return run


@pytest.fixture
def head(outer: Any, inner: Any, hours: Callable[..., Any]) -> tuple[str, str]:
    """A workshop with a busy engine and an idle one; number and hash of its newest entry."""
    from tickover.workshop.kernel import queries

    hours(outer, 130.0, date(2025, 2, 1))
    newest = queries.head()
    return str(newest.sequence), newest.hash


def refused(code: int, err: str, says: str) -> None:
    """One line that says why, and the exit code for it; never a traceback."""
    assert code == 1
    assert says in err and err.count("\n") == 1, err


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


def test_what_is_due_the_most_urgent_first(
    head: tuple[str, str], say: Callable[..., Said], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.localdate", lambda: date(2025, 3, 2))
    done = say("due")
    lines = done.out.splitlines()
    assert done.code == 0 and lines[0].startswith("Outer, ")
    assert any("Carburettor diaphragm service: overdue 30.0 h: before next run" in line for line in lines)
    everything = say("due", "--all").out.splitlines()
    # Every task of each engine, and the baseline inspection of the one whose hours are not known.
    assert [sum(line.startswith(f"{name}, ") for line in everything) for name in ("Outer", "Inner")] == [
        54,
        54,
    ]
    assert set(lines) <= set(everything)


def test_verify_says_the_head_and_exits_0(head: tuple[str, str], say: Callable[..., Said]) -> None:
    done = say("verify")
    assert (done.code, done.err) == (0, "")
    assert f"{head[0]} journal entries, " in done.out
    assert done.out.endswith(f"Journal head: entry {head[0]}, {head[1]}\n")


def test_verify_exits_1_and_names_what_was_changed(head: tuple[str, str], say: Callable[..., Said]) -> None:
    from tickover.workshop.register.models import EngineTimeEntry

    EngineTimeEntry.objects.update(duration_h=13.0)
    done = say("verify")
    assert done.code == 1 and "Everything is unchanged" not in done.out
    (fault,) = [line for line in done.out.splitlines() if line.startswith("FAULT")]
    assert (
        fault.startswith(f"FAULT Journal entry {head[0]} ") and "the record differs from its entry" in fault
    )


def test_a_paper_is_held_against_the_journal(head: tuple[str, str], say: Callable[..., Said]) -> None:
    sequence, digest = head
    for printed in (digest, digest[:8], digest[:16].upper(), f"{digest[:8]} {digest[8:16]}"):
        assert say("verify", "--paper", sequence, printed).code == 0


@pytest.mark.parametrize(
    ("sequence", "printed", "says"),
    [
        ("3", "0" * 64, "the paper's hash"),
        ("3", "", "the paper's hash"),
        ("3", "abc", "the paper's hash"),
        ("999", "0" * 64, "is not in this journal"),
        ("three", "0" * 64, "is not in this journal"),
        ("9" * 30, "0" * 64, "is not in this journal"),
    ],
)
def test_a_paper_that_does_not_fit_is_told(
    head: tuple[str, str], say: Callable[..., Said], sequence: str, printed: str, says: str
) -> None:
    done = say("verify", "--paper", sequence, printed)
    assert done.code == 1 and says in done.out


def test_a_link_to_sign_in_is_printed(crew: Any, client: Any, say: Callable[..., Said]) -> None:
    done = say("sign-in", "tilda", "--port", "9000")
    assert done.code == 0 and done.out.startswith("http://127.0.0.1:9000/sign-in/")
    assert client.get(done.out.strip().removeprefix("http://127.0.0.1:9000"))["Location"] == "/"


def test_nobody_is_signed_in_who_does_not_work_here(crew: Any, say: Callable[..., Said]) -> None:
    done = say("sign-in", "bo")
    refused(done.code, done.err, "No person called bo. Known: ")


def test_a_person_is_added_with_a_password_that_is_not_too_easy(
    sheet: Any, say: Callable[..., Said], monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = iter(["short", "carburettor on the bench"])
    monkeypatch.setattr("getpass.getpass", lambda _: next(typed))
    cleo = ["add-person", "cleo", "--first-name", "Cleo", "--last-name", "Test", "--role", "technician"]
    easy = say(*cleo)
    refused(easy.code, easy.err, "too short")
    done = say(*cleo)
    assert done.code == 0 and "Cleo Test may sign in as cleo." in done.out
    again = say(*cleo)
    refused(again.code, again.err, "cleo is taken")


def test_a_person_and_the_workshop_are_edited_with_a_reason(sheet: Any, say: Callable[..., Said]) -> None:
    done = say("edit-person", "tilda", "--authority", "T-2", "--why", "renewed")
    assert (done.code, done.out) == (0, "Tilda Reeve, technician, authority: T-2.\n")
    gone = say("edit-person", "tilda", "--works-here", "no", "--why", "has left")
    assert gone.code == 0
    refused(*_last(say("sign-in", "tilda")), "No person called tilda")
    alone = say("edit-workshop", "--works-alone", "yes", "--second-look-minutes", "15", "--why", "alone")
    assert "one person works alone, second look after 15 minutes" in alone.out
    refused(*_last(say("edit-person", "bo", "--role", "inspector", "--why", "so")), "No person called bo")
    refused(*_last(say("edit-workshop", "--why", "so")), "Nothing about Test Bench was given")
    assert say("verify").code == 0


def _last(said: Said) -> tuple[int, str]:
    return said.code, said.err


def test_a_new_workshop_is_backed_up_and_restored_in_another_folder(nothing: Shell, tmp_path: Path) -> None:
    """From nothing to a copy, each command a process of its own."""
    script = "import getpass, tickover.cli as c; getpass.getpass = lambda _: 'carburettor on the bench'; "
    script += "c.main(['add-person', 'cleo', '--first-name', 'C', '--last-name', 'T', '--role', 'manager'])"
    environment = {**os.environ, "TICKOVER_DATA": str(nothing.data), "DATABASE_URL": ""}
    subprocess.run([sys.executable, "-c", script], env=environment, check=True, timeout=60)
    kept = tmp_path / "kept.tar.gz"
    made = nothing("backup", str(kept))
    assert made.returncode == 0 and str(kept) in made.stdout
    (tmp_path / "other").mkdir()
    restored = Shell(tmp_path / "other")("restore", str(kept))
    assert restored.returncode == 0, restored.stderr
    assert restored.stdout.splitlines()[-1] == nothing("verify").stdout.splitlines()[-1]


@pytest.mark.parametrize("arguments", [("due",), ("backup", "b.tar.gz")], ids=["due", "backup"])
def test_where_there_is_no_workshop_a_command_says_how_to_get_one(
    nothing: Shell, arguments: tuple[str, ...]
) -> None:
    done = nothing(*arguments)
    refused(done.returncode, done.stderr, "There is no workshop in")
    assert not (nothing.data / "b.tar.gz").exists()


def test_a_backup_that_cannot_be_written_says_so(shop: Any, say: Callable[..., Said], tmp_path: Path) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("backup is for SQLite")
    (tmp_path / "a-file").write_text("")
    done = say("backup", str(tmp_path / "a-file" / "b.tar.gz"))
    refused(done.code, done.err, "cannot be written")


def test_the_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    for command in ("open", "hours", "due", "verify", "backup", "restore", "sign-in", "add-person"):
        assert re.search(rf"^ +{command}\s+\w", out, re.M), command
