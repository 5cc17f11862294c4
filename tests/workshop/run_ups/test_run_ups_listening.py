"""A recording as a run-up: speeds that are heard, listening at one place, large files, and what is no recording.

The sound is made here, so that its speed is known.
"""

from __future__ import annotations

import errno
import io
import os
import time
import tracemalloc
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tickover.demo.enginesound import engine_sound
from tickover.sheets import load_sheet, shipped_texts
from tickover.workshop.kernel import evidence_files
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.run_ups.uploads import evidence, listening

pytestmark = pytest.mark.usefixtures("verified")
RATE = 16_000


@cache
def recording(seconds: float = 60.0) -> bytes:
    """Silence, 18 s of idle at 2050 rpm, full throttle at 7900 rpm, silence."""
    t = np.arange(0.0, seconds, 1.0 / RATE)
    knots = [(0, 0), (2, 0), (2.5, 2050), (20, 2050), (21.5, 7900), (55, 7900), (55.5, 0), (60, 0)]
    rpm = np.interp(t, *zip(*knots, strict=True))
    sound, _ = engine_sound(np.random.default_rng(1), np.where(rpm > 600.0, rpm, 0.0), RATE)
    out = io.BytesIO()
    soundfile.write(out, sound, RATE, format="WAV")
    return out.getvalue()


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any, outer: Any) -> Client:
    return signed_in(crew.technician)


def hand_in(client: Client, data: bytes, name: str) -> Any:
    file = SimpleUploadedFile(name, data)
    return client.post("/engines/1200/runs/new/", {"on_day": "2025-05-04", "run_file": file})


def test_a_recording_becomes_a_run_up_and_can_be_listened_to(technician: Client) -> None:
    data = recording()
    answer = hand_in(technician, data, "belt.wav")
    row = RunUp.objects.get()
    assert row.kind == "sound"
    assert row.figures["idle-rpm"] == pytest.approx(2050.0, rel=0.01)
    assert row.figures["static-rpm-20"] == pytest.approx(7900.0, rel=0.01)
    page = technician.get(answer["Location"]).content.decode()
    assert "<audio controls" in page and "another engine can sound the same" in page
    heard = technician.get(f"/engines/1200/runs/{row.entry_sequence}/sound/")
    assert heard["Content-Type"] == "audio/wav" and heard.getvalue() == data


@pytest.mark.parametrize(
    ("data", "says"),
    [(recording(3.0), "at least 10 s"), (b"RIFF" + b"\0" * 100, "cannot be read as a sound recording")],
)
def test_what_cannot_be_heard_is_refused_and_nothing_is_kept(
    technician: Client, data: bytes, says: str
) -> None:
    answer = hand_in(technician, data, "belt.wav")
    assert answer.status_code == 422 and says in answer.content.decode()
    assert not RunUp.objects.exists()


ANSWERS = [  # RFC 9110, 14.1.2 and 14.4: first and last byte both count; "-500" is the last 500 bytes
    ("bytes=0-499", 206, slice(0, 500)),
    ("bytes=500-999", 206, slice(500, 1000)),
    ("bytes=-500", 206, slice(-500, None)),
    ("bytes=9500-", 206, slice(9500, None)),
    ("bytes=0-0,-1", 200, slice(None)),
    ("bytes=-", 200, slice(None)),
    ("pages=1-2", 200, slice(None)),
    ("", 200, slice(None)),
]


@pytest.mark.parametrize(("asked", "status", "part"), ANSWERS)
def test_a_browser_listens_at_one_place_of_a_recording(
    technician: Client, asked: str, status: int, part: slice
) -> None:
    data = recording()
    hand_in(technician, data, "belt.wav")
    address = f"/engines/1200/runs/{RunUp.objects.get().entry_sequence}/sound/"
    answer = technician.get(address, headers={"range": asked} if asked else {})
    wanted = data[part]
    assert (answer.status_code, answer["Content-Length"]) == (status, str(len(wanted)))
    assert answer.getvalue() == wanted and answer["Accept-Ranges"] == "bytes"
    if status == 206:
        first = data.index(wanted[:64]) if part.start == 0 else len(data[: part.start])
        assert answer["Content-Range"] == f"bytes {first}-{first + len(wanted) - 1}/{len(data)}"


@pytest.mark.parametrize("asked", ["bytes=99999999-", "bytes=500-400", "bytes=-0"])
def test_a_place_that_the_recording_has_not_is_said_so(technician: Client, asked: str) -> None:
    data = recording(20.0)
    hand_in(technician, data, "belt.wav")
    address = f"/engines/1200/runs/{RunUp.objects.get().entry_sequence}/sound/"
    answer = technician.get(address, headers={"range": asked})
    assert answer.status_code == 416 and answer["Content-Range"] == f"bytes */{len(data)}"


def test_a_recording_larger_than_a_table_may_be_is_read_from_disk(technician: Client) -> None:
    """Over 32 MB, and beyond what Django holds in memory: 35 MB at 96 kHz, three channels."""
    sound, rate = soundfile.read(io.BytesIO(recording()), dtype="float32")
    out = io.BytesIO()
    wide = np.repeat(np.repeat(sound, 6)[:, None], 3, axis=1)
    soundfile.write(out, wide, 6 * rate, format="WAV")
    assert len(out.getvalue()) > evidence.MOST_BYTES
    assert hand_in(technician, out.getvalue(), "long.wav").status_code == 302
    row = RunUp.objects.get()
    assert row.figures["static-rpm-20"] == pytest.approx(7900.0, rel=0.01)
    assert evidence_files.place_of(row.evidence.sha256).read_bytes() == out.getvalue()


def test_zeros_under_the_name_of_a_recording_are_refused_at_once(technician: Client, tmp_path: Path) -> None:
    zeros = tmp_path / "zeros.wav"
    with zeros.open("wb") as file:
        file.truncate(200_000_000)
    start = time.monotonic()
    with zeros.open("rb") as file:
        answer = technician.post("/engines/1200/runs/new/", {"on_day": "2025-05-04", "run_file": file})
    page = answer.content.decode()
    assert answer.status_code == 422 and "191 MB" in page and "does not begin like a recording" in page
    assert time.monotonic() - start < 10.0 and not RunUp.objects.exists()


def test_a_long_recording_of_nothing_is_refused_before_it_is_listened_to(
    technician: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(600 * 8000, dtype=np.int16), 8000)
    monkeypatch.setattr(listening, "track_audio", lambda *_: pytest.fail("it was listened to"))
    answer = hand_in(technician, silent.read_bytes(), "silent.wav")
    assert answer.status_code == 422 and "silent throughout" in answer.content.decode()


def test_listening_from_disk_needs_no_more_memory_for_a_longer_recording(tmp_path: Path) -> None:
    """Peak of what Python and numpy take, for one minute and for eight."""
    sound, rate = soundfile.read(io.BytesIO(recording()), dtype="float32")
    peaks = []
    for minutes in (1, 8):
        path = tmp_path / f"{minutes}.wav"
        soundfile.write(path, np.tile(sound, minutes), rate, subtype="PCM_16")
        tracemalloc.start()
        listening.trace_of(path, load_sheet(shipped_texts()["velisk-185.toml"], "velisk-185.toml"))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    # The sound of 8 minutes is 13 MB more in the file and 27 MB more as samples; its track alone may grow.
    assert peaks[1] - peaks[0] < 8e6


def test_a_recording_that_is_refused_leaves_no_copy(technician: Client, data_folder: Path) -> None:
    data = recording(20.0)
    assert hand_in(technician, data, "belt.wav").status_code == 302
    assert hand_in(technician, data, "again.wav").status_code == 422
    assert [path.name for path in data_folder.glob("files/.part-*")] == []


def test_a_full_disk_is_told_and_nothing_is_left(
    technician: Client, data_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    answer = hand_in(technician, recording(20.0), "belt.wav")
    assert answer.status_code == 422 and "No space left on device" in answer.content.decode()
    assert not RunUp.objects.exists() and not list(data_folder.glob("files/**/.part-*"))


def test_what_a_crash_left_is_swept_up_after_a_day(technician: Client, data_folder: Path) -> None:
    folder = data_folder / "files"
    folder.mkdir(exist_ok=True)
    old, new = folder / ".part-old", folder / ".part-new"
    for part in (old, new):
        part.write_bytes(b"half of it")
    os.utime(old, (0, 0))
    hand_in(technician, recording(20.0), "belt.wav")
    assert new.exists() and not old.exists()
    new.unlink()
