"""A recording as a run-up."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from tickover.formats.audio.run_up_trace import trace_of_sound
from tickover.formats.audio.sound_file import SILENT, audio_blocks, track_audio
from tickover.science import run_up
from tickover.science.sound import SoundSettings
from tickover.sheets import TypeSheet

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

    Raises FormatError where it is no recording, InsufficientDataError where no engine is heard in it.
    """
    if isinstance(source, bytes):
        with tempfile.NamedTemporaryFile() as file:
            file.write(source)
            file.flush()
            return trace_of(Path(file.name), sheet)
    _refuse_silence(source)
    track = track_audio(source, settings_of(sheet))
    return trace_of_sound(track), track.remarks


def _refuse_silence(path: Path) -> None:
    """A recording of nothing is refused at once: to read it through costs little beside listening to it."""
    for block in audio_blocks(path):  # which raises FormatError at the end of a silent one
        if np.abs(block).max(initial=0.0) > SILENT:
            return


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
