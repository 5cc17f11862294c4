"""A recording as a run-up: speeds that are heard, and what is no recording. The sound is made here: speed known."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import soundfile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tickover.workshop.runs.models import RunUp

pytestmark = pytest.mark.usefixtures("verified")
RATE = 16_000


def recording(seconds: float = 60.0) -> bytes:
    """Silence, 18 s of idle at 2050 rpm, full throttle at 7900 rpm, silence; one line a firing and its multiples."""
    t = np.arange(0.0, seconds, 1.0 / RATE)
    knots = [(0, 0), (2, 0), (2.5, 2050), (20, 2050), (21.5, 7900), (55, 7900), (55.5, 0), (60, 0)]
    rpm = np.interp(t, *zip(*knots, strict=True))
    phase = np.cumsum(rpm / 60.0 / RATE)
    lines = sum(np.sin(2.0 * np.pi * k * phase) / k**0.7 for k in range(1, 9))
    sound = 0.1 * lines * (rpm > 600.0) + np.random.default_rng(1).normal(0.0, 0.01, t.size)
    out = io.BytesIO()
    soundfile.write(out, sound.astype(np.float32), RATE, format="WAV")
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
    assert heard["Content-Type"] == "audio/wav" and heard.content == data


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
