"""A recording as a run-up."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tickover.formats.audio.reading import SILENT, audio_blocks, track_audio
from tickover.science import run_up
from tickover.science.sound import FOUR_STROKES, SoundSettings, SoundTrack
from tickover.science.sound.listening import WINDOW_S
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


def is_sound(head: bytes) -> bool:
    """Whether a file that begins so is a recording."""
    return head.startswith(tuple(magic for magic, _ in TYPES)) or head[4:8] == b"ftyp"


def trace_of(source: bytes | Path, sheet: TypeSheet) -> tuple[run_up.Trace, tuple[str, ...]]:
    """The speed heard in a recording, and what was taken for granted.

    Raises FormatError where it is no recording, NotKnownHere where no engine is heard in it.
    """
    if isinstance(source, bytes):
        with tempfile.NamedTemporaryFile() as file:
            file.write(source)
            file.flush()
            return trace_of(Path(file.name), sheet)
    _refuse_silence(source)
    track = track_audio(source, settings_of(sheet))
    # Where no engine is heard it stands; where one is and its speed is not sure, the sample is missing.
    rpm = np.where(_stands(track), 0.0, track.rpm)
    strokes = np.where(np.isfinite(track.four_stroking), track.four_stroking >= FOUR_STROKES, np.nan)
    trace = run_up.make_trace(track.t_s, rpm, four_stroking=strokes, blur_s=WINDOW_S)
    return trace, track.remarks


def _refuse_silence(path: Path) -> None:
    """A recording of nothing is refused at once: to read it through costs little beside listening to it."""
    for block in audio_blocks(path):  # which raises FormatError at the end of a silent one
        if np.abs(block).max(initial=0.0) > SILENT:
            return


def _stands(track: SoundTrack) -> NDArray[np.bool_]:
    """Frames in which no engine is heard for some seconds: a shorter silence is a speed that was not followed."""
    off = np.asarray(track.state == "off")
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


def media_type(head: bytes) -> str:
    """The type a browser plays it as. Names as in the IANA register of media types."""
    for magic, name in TYPES:
        if head.startswith(magic):
            return name
    return "audio/mp4" if head[4:8] == b"ftyp" else "application/octet-stream"
