"""Evidence files on disk: `files/ab/abcd…`, named by SHA-256, written whole or not at all."""

from __future__ import annotations

import hashlib
import io
import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from django.conf import settings

BLOCK = 1024 * 1024
PART = ".part-"
DAY_S = 86_400.0


def sha256_of(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def place_of(sha256: str) -> Path:
    """Where the file with this hash lies."""
    return Path(settings.FILES) / sha256[:2] / sha256


def keep(data: bytes) -> str:
    """Store the bytes under their hash and return it. Safe against a crash at any moment."""
    sha256 = sha256_of(data)
    if not place_of(sha256).exists():
        with copied(data) as copy:
            copy.keep()
    return sha256


def sha256_of_file(path: Path) -> str:
    """Hash of a file that may be larger than memory. Raises OSError where it cannot be read."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@dataclass(frozen=True)
class Copy:
    """Bytes that are written to disk, and are no evidence before they are kept."""

    part: Path
    sha256: str
    size: int

    def keep(self) -> str:
        """Move them to their place, and return their hash."""
        place = place_of(self.sha256)
        place.parent.mkdir(exist_ok=True)
        if not place.exists():
            self.part.replace(place)
        return self.sha256


@contextmanager
def copied(source: bytes | Path) -> Iterator[Copy]:
    """A copy of a file that may be larger than memory. It is gone afterwards, unless it was kept."""
    folder = Path(settings.FILES)
    folder.mkdir(parents=True, exist_ok=True)
    _sweep(folder)
    handle, name = tempfile.mkstemp(dir=folder, prefix=PART)
    try:
        yield Copy(Path(name), *_written(source, handle))
    finally:
        Path(name).unlink(missing_ok=True)


def _written(source: bytes | Path, handle: int) -> tuple[str, int]:
    """Hash and size of what was written to disk, whatever the source does meanwhile. [-, bytes]"""
    digest, size = hashlib.sha256(), 0
    with os.fdopen(handle, "wb") as part, _opened(source) as file:
        while block := file.read(BLOCK):
            digest.update(block)
            size += part.write(block)
        part.flush()
        os.fsync(part.fileno())
    return digest.hexdigest(), size


def _opened(source: bytes | Path) -> IO[bytes]:
    return io.BytesIO(source) if isinstance(source, bytes) else source.open("rb")


def _sweep(folder: Path) -> None:
    """Parts that a crash left behind: whoever wrote one a day ago writes no more."""
    for part in folder.glob(f"{PART}*"):
        with suppress(FileNotFoundError):
            if part.stat().st_mtime < time.time() - DAY_S:
                part.unlink()


def read(sha256: str) -> bytes:
    """The stored bytes. Raises FileNotFoundError where the file is gone."""
    return place_of(sha256).read_bytes()


def track_log_to_try() -> bytes | None:
    """The track log that lies beside a demo workshop; None in any other."""
    place = Path(settings.DATA) / settings.TRACK_LOG_TO_TRY
    return place.read_bytes() if place.is_file() else None
