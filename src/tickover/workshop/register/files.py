"""Evidence files on disk: `files/ab/abcd…`, named by SHA-256, written whole or not at all."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings

BLOCK = 1024 * 1024


def sha256_of(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def place_of(sha256: str) -> Path:
    """Where the file with this hash lies."""
    return Path(settings.FILES) / sha256[:2] / sha256


def keep(data: bytes) -> str:
    """Store the bytes under their hash and return it. Safe against a crash at any moment."""
    sha256 = sha256_of(data)
    place = place_of(sha256)
    if place.exists():
        return sha256
    place.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=place.parent, prefix=".part-")
    with os.fdopen(handle, "wb") as part:
        part.write(data)
        part.flush()
        os.fsync(part.fileno())
    Path(name).replace(place)
    return sha256


def sha256_of_file(path: Path) -> str:
    """Hash of a file that may be larger than memory. Raises OSError where it cannot be read."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def keep_file(source: Path) -> str:
    """Store a copy of a file under its hash and return it, a block at a time, as safely as `keep`."""
    folder = Path(settings.FILES)
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, prefix=".part-")
    try:
        sha256 = _copied(source, handle)
        place = place_of(sha256)
        if not place.exists():
            place.parent.mkdir(exist_ok=True)
            Path(name).replace(place)
    finally:
        Path(name).unlink(missing_ok=True)
    return sha256


def _copied(source: Path, handle: int) -> str:
    """Hash of what was written to disk, whatever the source does meanwhile."""
    digest = hashlib.sha256()
    with os.fdopen(handle, "wb") as part, source.open("rb") as file:
        while block := file.read(BLOCK):
            digest.update(block)
            part.write(block)
        part.flush()
        os.fsync(part.fileno())
    return digest.hexdigest()


def read(sha256: str) -> bytes:
    """The stored bytes. Raises FileNotFoundError where the file is gone."""
    return place_of(sha256).read_bytes()


def track_log_to_try() -> bytes | None:
    """The track log that lies beside a demo workshop; None in any other."""
    place = Path(settings.DATA) / settings.TRACK_LOG_TO_TRY
    return place.read_bytes() if place.is_file() else None
