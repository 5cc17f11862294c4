"""A file to be read: its path, its bytes, or the open file itself."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from tickover.formats.audio.sound_file import BEGINNINGS
from tickover.formats.errors import FormatError

Source = str | os.PathLike[str] | bytes | BinaryIO

HEAD = 64
MOST_BYTES = 64 * 1024 * 1024
"""No log that can be read is larger. [bytes]"""
MP3_FRAMES = (b"\xff\xfb", b"\xff\xf3", b"\xff\xf2")
"""How MP3 without a tag begins: MPEG layer III, 1 or 2. From memory."""


def bytes_of(source: Source) -> bytes:
    """The whole of a log.

    Raises
    ------
    FormatError
        A folder, an open file in text mode, or more than 64 MB.
    """
    if isinstance(source, bytes):
        return source
    if isinstance(source, str | os.PathLike):
        with _file(source).open("rb") as file:
            return _read(file)
    return _read(source)


def is_sound(source: Source) -> bool:
    """Whether it begins like a recording; an open file is left where it was."""
    head = _head(source)
    return head.startswith((*BEGINNINGS, *MP3_FRAMES)) or head[4:8] == b"ftyp"


@contextmanager
def path_of(source: Source) -> Iterator[Path]:
    """A path to it; bytes are kept in a file for as long as that is needed."""
    if isinstance(source, str | os.PathLike):
        yield _file(source)
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "recording"
        path.write_bytes(source if isinstance(source, bytes) else source.read())
        yield path


def _file(source: str | os.PathLike[str]) -> Path:
    path = Path(source)
    if path.is_dir():
        raise FormatError(f"{path} is a folder. Name one file in it.")
    return path


def _head(source: Source) -> bytes:
    if isinstance(source, bytes):
        return source[:HEAD]
    if isinstance(source, str | os.PathLike):
        with _file(source).open("rb") as file:
            return file.read(HEAD)
    at = source.tell()
    head = source.read(HEAD)
    source.seek(at)
    return _as_bytes(head)


def _read(file: BinaryIO) -> bytes:
    data = _as_bytes(file.read(MOST_BYTES + 1))
    if len(data) > MOST_BYTES:
        raise FormatError(
            f"The file has more than {MOST_BYTES // 2**20} MB. Give one flight or run at a time."
        )
    return data


def _as_bytes(data: bytes | str) -> bytes:
    if isinstance(data, str):
        raise FormatError('The file is open as text. Open it with mode "rb".')
    return data
