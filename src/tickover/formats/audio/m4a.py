"""Read M4A recordings (AAC in an MP4 box) with the optional library av: the extra "m4a" of this package."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from tickover.formats.errors import FormatError

Samples = NDArray[np.float32]

MICROSECONDS = 1e6


def is_m4a(head: bytes) -> bool:
    """Whether a file begins as MP4 does: a box named "ftyp" (ISO/IEC 14496-12)."""
    return head[4:8] == b"ftyp"


def m4a_shape(file: BinaryIO) -> tuple[float, int, float]:
    """Sampling rate [Hz], channels and length [s] of a recording.

    Raises
    ------
    FormatError
        The library av is not installed, the file is damaged, or there is no sound in it.
    """
    with _opened(file) as box:
        stream = _stream(box)
        return float(stream.rate), int(stream.channels), (box.duration or 0) / MICROSECONDS


def m4a_blocks(file: BinaryIO, size: int) -> Iterator[Samples]:
    """Blocks [n, channels] of `size` samples or a little more."""
    waiting: list[Samples] = []
    with _opened(file) as box:
        stream = _stream(box)
        to_float = _av().AudioResampler(format="fltp", rate=stream.rate)
        for sound in _decoded(box, stream, to_float):
            waiting.append(sound)
            if sum(map(len, waiting)) >= size:
                yield np.concatenate(waiting)
                waiting = []
    if waiting:
        yield np.concatenate(waiting)


def _decoded(box: Any, stream: Any, to_float: Any) -> Iterator[Samples]:
    try:
        for frame in box.decode(stream):
            for part in to_float.resample(frame):
                yield part.to_ndarray().T
    except _av().FFmpegError as error:
        raise FormatError(f"The M4A recording breaks off: {error.strerror}. Copy it again.") from error


def _opened(file: BinaryIO) -> Any:
    try:
        return _av().open(file, format="mov")
    except _av().FFmpegError as error:
        raise FormatError(
            "The M4A recording is damaged: its beginning cannot be read. Copy it again."
        ) from error


def _stream(box: Any) -> Any:
    if not box.streams.audio:
        raise FormatError("The file is a video without sound. Record the sound alone.")
    return box.streams.audio[0]


def _av() -> Any:
    try:
        return import_module("av")
    except ImportError as error:
        raise FormatError(
            "M4A recordings are read with an optional part: install it with pip install 'tickover[m4a]', "
            "or save the recording as WAV, FLAC, OGG or MP3."
        ) from error
