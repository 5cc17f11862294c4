"""A file that waits until a person has said which of its columns is which. It is no evidence yet.

It lies beside the database under its hash, and goes once it is taken in, or after a day.
"""

from __future__ import annotations

import re
import time
from pathlib import Path

from django.conf import settings

from tickover.workshop.kernel import evidence_files

DAY_S = 86_400.0
HASH = re.compile(r"[0-9a-f]{64}")


def put(data: bytes) -> str:
    """Keep the bytes for a day, and return what they are found by."""
    place = _folder()
    place.mkdir(parents=True, exist_ok=True)
    _sweep(place)
    sha256 = evidence_files.sha256_of(data)
    part = place / f".{sha256}"
    part.write_bytes(data)
    part.replace(place / sha256)
    return sha256


def get(sha256: str) -> bytes | None:
    """The bytes that wait under this hash; None where they are gone."""
    if not HASH.fullmatch(sha256):
        return None
    place = _folder() / sha256
    return place.read_bytes() if place.is_file() else None


def drop(sha256: str) -> None:
    """They wait no more."""
    if HASH.fullmatch(sha256):
        (_folder() / sha256).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.DATA) / "waiting"


def _sweep(place: Path) -> None:
    for old in place.iterdir():
        if old.stat().st_mtime < time.time() - DAY_S:
            old.unlink(missing_ok=True)
