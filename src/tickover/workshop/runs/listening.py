"""A recording as a run-up."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tickover.formats.audio import track_audio
from tickover.science import runup
from tickover.science.sound import FOUR_STROKES, SoundSettings, SoundTrack
from tickover.sheets import TypeSheet

STANDS_S = 3.0
# First bytes of recordings and what they are played as. From memory.
TYPES = (
    (b"RIFF", "audio/wav"),
    (b"OggS", "audio/ogg"),
    (b"fLaC", "audio/flac"),
    (b"\x1aE\xdf\xa3", "audio/webm"),
    (b"ID3", "audio/mpeg"),
    (b"\xff\xfb", "audio/mpeg"),
)


def is_sound(data: bytes) -> bool:
    """Whether the file begins like a recording."""
    return data.startswith(tuple(magic for magic, _ in TYPES)) or data[4:8] == b"ftyp"


def trace_of(data: bytes, sheet: TypeSheet) -> tuple[runup.Trace, tuple[str, ...]]:
    """The speed heard in a recording, and what was taken for granted.

    Raises FormatError where it is no recording, NotKnownHere where no engine is heard in it.
    """
    with tempfile.NamedTemporaryFile() as file:
        file.write(data)
        file.flush()
        track = track_audio(Path(file.name), settings_of(sheet))
    # Where no engine is heard it stands; where one is and its speed is not sure, the sample is missing.
    rpm = np.where(_stands(track), 0.0, track.rpm)
    strokes = np.where(np.isfinite(track.four_stroking), track.four_stroking >= FOUR_STROKES, np.nan)
    return runup.make_trace(track.t_s, rpm, four_stroking=strokes), track.remarks


def _stands(track: SoundTrack) -> NDArray[np.bool_]:
    """Frames in which no engine is heard for some seconds: a shorter silence is a speed that was not followed."""
    off = track.state == "off"
    edges = np.flatnonzero(np.diff(np.concatenate(([False], off, [False]))))
    stands = np.zeros_like(off)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        at_an_end = start == 0 or end == off.size
        stands[start:end] = at_an_end or track.t_s[end - 1] - track.t_s[start] >= STANDS_S
    return stands


def settings_of(sheet: TypeSheet) -> SoundSettings:
    """What the type sheet knows of the engine that helps to hear it."""
    geometry = sheet.geometry
    return SoundSettings(gear_ratio=geometry.gear_ratio, blades=geometry.propeller.blades)


def media_type(data: bytes) -> str:
    """The type a browser plays it as. Names as in the IANA register of media types."""
    for magic, name in TYPES:
        if data.startswith(magic):
            return name
    return "audio/mp4" if data[4:8] == b"ftyp" else "application/octet-stream"
