"""Read a sound recording: a file in, one channel of samples out, in blocks of a second.

WAV, FLAC, OGG and MP3 are read with the library soundfile; M4A, which telephones write, with the optional
library av (the extra "m4a"). Nothing is kept: a recording of hours needs no more room than a short one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

import numpy as np
import soundfile
from numpy.typing import NDArray

from tickover.formats.audio.m4a import is_m4a, m4a_blocks, m4a_shape
from tickover.formats.audio.wav_cut_off import held_share
from tickover.formats.errors import FormatError
from tickover.formats.filetype import looks_like
from tickover.science.sound import SoundSettings, SoundTrack, SoundTracker
from tickover.science.sound.resampling import HIGHEST_HZ, LOWEST_HZ

Samples = NDArray[np.float32]

BLOCK_S = 1.0
MOST_CHANNELS = 8
LONGEST_H = 12.0
MIXED = -1
CANCELLED = 0.1
CUT_OFF_S = 0.5
SILENT = 1e-4  # of full scale, 80 dB below it: two steps of 16 bits
BEGINNINGS = (b"RIFF", b"RF64", b"fLaC", b"OggS", b"ID3")
WANTED = "Record it as WAV, FLAC, OGG, MP3 or M4A."


@dataclass(frozen=True)
class Shape:
    """Sampling rate [Hz] and channels of a recording, and its length as its header tells it. [s]"""

    rate_hz: float
    channels: int
    length_s: float


def track_audio(path: Path, settings: SoundSettings | None = None) -> SoundTrack:
    """Engine speed along the recording in the file at `path`; one that is cut off is remarked on.

    Raises
    ------
    FormatError
        As for `audio_blocks`.
    """
    shape, read = audio_shape(path), 0
    tracker = SoundTracker(shape.rate_hz, settings)
    for block in audio_blocks(path):
        tracker.feed(block)
        read += block.size
    track = tracker.finish()
    cut_off = _cut_off(path, shape, read / shape.rate_hz)
    return replace(track, remarks=cut_off + track.remarks)


def _cut_off(path: Path, shape: Shape, read_s: float) -> tuple[str, ...]:
    """A remark where the header promises more than there is."""
    with path.open("rb") as file:
        promised_s = shape.length_s / held_share(file)
    if promised_s - read_s <= CUT_OFF_S:
        return ()
    return (
        f"The file is cut off: {read_s:.1f} s of the {promised_s:.1f} s that it promises are there. Copy it "
        "again from where it was recorded.",
    )


def audio_shape(path: Path) -> Shape:
    """Sampling rate, channels and length of a recording.

    Raises
    ------
    FormatError
        Not a recording, a sampling rate outside 4,000 to 768,000 Hz, more than 8 channels, longer than
        12 hours, or nothing in it.
    """
    with path.open("rb") as file:
        shape = Shape(*m4a_shape(file)) if is_m4a(_head(file)) else _shape(file)
    if not LOWEST_HZ <= shape.rate_hz <= HIGHEST_HZ:
        raise FormatError(
            f"The recording has a sampling rate of {shape.rate_hz:,.0f} Hz; it must lie between "
            f"{LOWEST_HZ:,.0f} and {HIGHEST_HZ:,.0f} Hz. Record with 44,100 Hz."
        )
    if shape.channels > MOST_CHANNELS:
        raise FormatError(
            f"The recording has {shape.channels} channels; at most {MOST_CHANNELS} can be read."
        )
    if shape.length_s > LONGEST_H * 3600.0:
        raise FormatError(
            f"The recording is longer than {LONGEST_H:.0f} hours. Cut out the run that matters."
        )
    return shape


def audio_blocks(path: Path) -> Iterator[Samples]:
    """Samples of a recording, full scale 1, one channel, a second in each block.

    Several channels are averaged; where they cancel each other, the louder one is taken alone.

    Raises
    ------
    FormatError
        As for `audio_shape`; a recording that breaks off unreadably, holds numbers that are none, or is
        silent throughout (told at its end).
    """
    shape = audio_shape(path)
    peak, read, channel = 0.0, 0, None
    with path.open("rb") as file:
        for block in _many_channels(file, shape):
            loudest = float(np.abs(block).max(initial=0.0))
            if not np.isfinite(loudest):
                at_s = read / shape.rate_hz
                raise FormatError(
                    f"The recording is damaged {at_s:.0f} s after its start: values that are no numbers."
                )
            channel = _choice(block) if loudest > SILENT and channel is None else channel
            peak, read = max(peak, loudest), read + len(block)
            yield _one_channel(block, channel)
    if not read:
        raise FormatError(f"The recording holds no sound. {WANTED}")
    if peak <= SILENT:
        raise FormatError("The recording is silent throughout. Check the microphone and record again.")


def _head(file: BinaryIO) -> bytes:
    head = file.read(64)
    file.seek(0)
    if not head:
        raise FormatError("The file is empty. Copy it again from where it was recorded.")
    return head


def _shape(file: BinaryIO) -> Shape:
    with _opened(file) as sound:
        if not sound.frames:
            raise FormatError(f"The recording holds no sound. {WANTED}")
        return Shape(sound.samplerate, sound.channels, sound.frames / max(sound.samplerate, 1))


def _opened(file: BinaryIO) -> soundfile.SoundFile:
    head = _head(file)
    try:
        return soundfile.SoundFile(file)
    except (soundfile.LibsndfileError, TypeError) as error:
        raise FormatError(f"The file cannot be read as a sound recording. {_why(head)}") from error


def _why(head: bytes) -> str:
    if head.startswith(BEGINNINGS):
        return "It begins as one, but its header is damaged or cut off. Copy it again."
    what = looks_like(head)
    return f"It looks like {what}. {WANTED}" if what else WANTED


def _many_channels(file: BinaryIO, shape: Shape) -> Iterator[Samples]:
    """Blocks [n, channels]."""
    if is_m4a(_head(file)):
        yield from m4a_blocks(file, round(BLOCK_S * shape.rate_hz))
        return
    with _opened(file) as sound:
        try:
            yield from sound.blocks(round(BLOCK_S * shape.rate_hz), dtype="float32", always_2d=True)
        except soundfile.LibsndfileError as error:
            raise FormatError(
                f"The recording breaks off {sound.tell() / shape.rate_hz:.0f} s after its start."
            ) from error


def _choice(block: Samples) -> int:
    """Average the channels, or take the loudest one where the average is much weaker than that."""
    power = np.square(block, dtype=np.float64).mean(axis=0)
    together = float(np.square(block.mean(axis=1), dtype=np.float64).mean())
    return MIXED if together > CANCELLED * power.mean() else int(power.argmax())


def _one_channel(block: Samples, channel: int | None) -> Samples:
    one: Samples = block.mean(axis=1) if channel in (None, MIXED) else block[:, channel]
    return one
