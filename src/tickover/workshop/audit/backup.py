"""A consistent copy of the workshop in one archive, and bringing it back. SQLite workshops only."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import sqlite3
import tarfile
import tempfile
import zlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO

from django.conf import settings
from django.db import connection

from tickover import __version__
from tickover.workshop.audit.archived_database import database_fault
from tickover.workshop.audit.without_keys import leave_out_keys
from tickover.workshop.kernel.folder_lock import IN_USE, FolderLockedError, locked
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.serving.outages import FULL

MANIFEST = "manifest.json"
DATABASE = "workshop.sqlite3"


class BackupError(RefusedError):
    """A backup cannot be made or used; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class Restored:
    """What was brought back, and where the workshop that was there before now lies."""

    files: int
    set_aside: Path | None


def backup(target: Path) -> int:
    """Write the archive; returns the number of files in it. An existing file is never overwritten."""
    _want_sqlite("copy them with pg_dump")
    if target.exists():
        raise BackupError(f"{target} is there already. Choose another name; nothing was written.")
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent) as folder:
        inside = _collect(Path(folder))
        part = Path(folder) / "archive.part"
        _pack(inside, part)
        part.replace(target)
    return len(inside)


def restore(archive: Path, *, at: datetime) -> Restored:
    """Check the archive, then put it in place; what was there before is set aside, never deleted."""
    _want_sqlite("bring them back with pg_restore")
    data = Path(settings.DATA)
    data.mkdir(parents=True, exist_ok=True)
    if not archive.is_file():
        raise BackupError(f"There is no file {archive}. Nothing was changed.")
    try:
        with locked(data, IN_USE, exclusive=True):
            return _restore(archive, data, at)
    except FolderLockedError as error:
        raise BackupError(
            f"tickover is open in {data}. Stop it there, then restore again. Nothing was changed."
        ) from error


def _restore(archive: Path, data: Path, at: datetime) -> Restored:
    unpacked = Path(tempfile.mkdtemp(dir=data.parent, prefix="tickover-restore-"))
    try:
        count = _unpack_checked(archive, unpacked)
        return Restored(count, _swap(unpacked, data, at))
    finally:
        shutil.rmtree(unpacked, ignore_errors=True)


def _want_sqlite(instead: str) -> None:
    if connection.vendor != "sqlite":
        raise BackupError(
            f"This workshop keeps its records in PostgreSQL: {instead}, "
            f"and the folder {settings.FILES} next to it."
        )


def _collect(folder: Path) -> dict[str, Path]:
    """The files to pack, by their name in the archive; the database as a consistent snapshot."""
    connection.close()
    snapshot = folder / DATABASE
    source, copy = sqlite3.connect(str(settings.DATABASES["default"]["NAME"])), sqlite3.connect(snapshot)
    with source, copy:
        source.backup(copy)
    source.close()
    copy.close()
    leave_out_keys(snapshot)
    inside = {DATABASE: snapshot}
    # After the snapshot: a file is always on disk before the row that names it.
    for path in sorted(Path(settings.FILES).rglob("*")):
        if path.is_file() and not path.name.startswith("."):
            inside[f"files/{path.parent.name}/{path.name}"] = path
    return inside


def _pack(inside: dict[str, Path], target: Path) -> None:
    hashes = {name: _digest(path) for name, path in inside.items()}
    target.touch(mode=0o600)
    manifest = json.dumps({"tickover": 1, "version": __version__, "sha256": hashes}, indent=1).encode()
    with tarfile.open(target, "w:gz", compresslevel=6) as tar:
        entry = tarfile.TarInfo(MANIFEST)
        entry.size = len(manifest)
        tar.addfile(entry, io.BytesIO(manifest))
        for name, path in inside.items():
            tar.add(path, arcname=name)


def _unpack_checked(archive: Path, folder: Path) -> int:
    try:
        with tarfile.open(archive, "r:gz") as tar:
            hashes: dict[str, str] = json.loads(_member(tar, MANIFEST).read())["sha256"]
            for name in hashes:
                _unpack(tar, name, folder)
    except OSError as error:
        if error.errno in FULL:
            raise
        raise BackupError(
            f"{archive} is not a whole tickover backup ({error}). Nothing was changed."
        ) from error
    except (tarfile.TarError, zlib.error, EOFError, ValueError, KeyError, TypeError) as error:
        raise BackupError(
            f"{archive} is not a whole tickover backup ({error}). Nothing was changed."
        ) from error
    for name, expected in hashes.items():
        path = folder / name
        if not path.is_file() or _digest(path) != expected:
            raise BackupError(f"{archive}: {name} is missing or damaged. Nothing was changed.")
    if DATABASE not in hashes:
        raise BackupError(f"{archive} holds no workshop. Nothing was changed.")
    if fault := database_fault(folder / DATABASE):
        raise BackupError(f"{archive} {fault}. Nothing was changed.")
    return len(hashes)


def _member(tar: tarfile.TarFile, name: str) -> IO[bytes]:
    handle = tar.extractfile(name)
    if handle is None:
        raise KeyError(name)
    return handle


def _unpack(tar: tarfile.TarFile, name: str, folder: Path) -> None:
    """Write out one file that the manifest names; a name that leads out of the folder is refused."""
    target = folder / name
    if not target.resolve().is_relative_to(folder.resolve()):
        raise ValueError(f"the name {name!r} leads out of the workshop's folder")
    target.parent.mkdir(parents=True, exist_ok=True)
    with _member(tar, name) as source, target.open("wb") as out:
        shutil.copyfileobj(source, out)


def _swap(unpacked: Path, data: Path, at: datetime) -> Path | None:
    connection.close()
    old = [data / name for name in (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm", "files")]
    present = [path for path in old if path.exists()]
    aside = data / f"before-restore-{at:%Y%m%d-%H%M%S}" if present else None
    if aside:
        aside.mkdir(mode=0o700)
        for path in present:
            path.replace(aside / path.name)
    (unpacked / DATABASE).replace(data / DATABASE)
    if (unpacked / "files").exists():
        (unpacked / "files").replace(data / "files")
    return aside


def _digest(path: Path) -> str:
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()
