"""Everything of an engine in one zip, for whoever has it next: papers, records, hashes, and words to read them by.

The same records give the same bytes: names in a fixed order, one fixed time on each, no clock. Rows are read
a few at a time and written to a file, so that memory does not grow with the engine's history.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from typing import IO

from tickover.formats.spreadsheet import safe_cell
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.models import Entry, Recorded
from tickover.workshop.logbook import engine_papers, job_papers, records, unlinked_records
from tickover.workshop.logbook.bundle_words import read_me
from tickover.workshop.photos.models import Photo
from tickover.workshop.register.models import Engine, EvidenceFile
from tickover.workshop.visits import queries as visits

# The earliest moment that a zip can hold.
MOMENT = (1980, 1, 1, 0, 0, 0)


class _Bundle:
    """A zip being written, with the SHA-256 of each file as `sha256sum` prints it."""

    def __init__(self, out: IO[bytes]) -> None:
        self.zip, self.sums = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED), list[str]()

    def add(self, name: str, parts: Iterable[bytes]) -> None:
        head, note = zipfile.ZipInfo(name, MOMENT), hashlib.sha256()
        head.compress_type, head.create_system, head.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
        with self.zip.open(head, "w", force_zip64=True) as file:
            for part in parts:
                note.update(part)
                file.write(part)
        self.sums.append(f"{note.hexdigest()}  {name}\n")


def written(engine: Engine) -> IO[bytes]:
    """The bundle in a file that is gone when it is closed, open at its beginning."""
    out = tempfile.TemporaryFile()  # noqa: SIM115 - whoever sends it closes it
    try:
        write(engine, out)
    except BaseException:
        out.close()
        raise
    out.seek(0)
    return out


def write(engine: Engine, out: IO[bytes]) -> None:
    """Write the bundle of an engine."""
    bundle, kept_back = _Bundle(out), visits.kept_back(engine)
    with bundle.zip:
        bundle.add("README.txt", [read_me(engine, left_out=len(kept_back)).encode()])
        bundle.add("logbook.pdf", [engine_papers.logbook(engine)])
        for job in reversed(visits.jobs_of(engine)):
            if hasattr(job, "release"):
                sheet = visits.job_sheet(job)
                bundle.add(f"releases/{job.release.number}.pdf", [job_papers.release(sheet)])
        for model in records.tables():
            name = records.name_of(model)
            bundle.add(f"records/{name}.json", _json(model, engine, kept_back))
            bundle.add(f"records/{name}.csv", _csv(model, engine, kept_back))
        bundle.add("journal.jsonl", _journal(engine, kept_back))
        for photo in (
            unlinked_records.photos(engine).filter(withdrawn=None).exclude(entry_sequence__in=kept_back)
        ):
            bundle.add(*_photo(photo))
        bundle.add("evidence.sha256", _evidence(engine))
        bundle.add("MANIFEST.sha256", ["".join(bundle.sums).encode()])


def _rows(model: type[Recorded], engine: Engine, kept_back: frozenset[int]) -> Iterator[Recorded]:
    """The rows of a table, but for first readings that wait for the second."""
    return (row for row in records.rows_of(model, engine) if row.entry_sequence not in kept_back)


def _json(model: type[Recorded], engine: Engine, kept_back: frozenset[int]) -> Iterator[bytes]:
    before = b"[\n"
    for row in _rows(model, engine, kept_back):
        yield before + json.dumps(records.as_plain(row), ensure_ascii=False).encode()
        before = b",\n"
    yield b"[]\n" if before == b"[\n" else b"\n]\n"


def _csv(model: type[Recorded], engine: Engine, kept_back: frozenset[int]) -> Iterator[bytes]:
    """RFC 4180, with what a spreadsheet would run made plain text."""
    names = records.columns_of(model)
    yield _line(names)
    for row in _rows(model, engine, kept_back):
        plain = records.as_plain(row)
        yield _line([_cell(plain[name]) for name in names])


def _line(cells: Sequence[object]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue().encode()


def _cell(value: object) -> object:
    return safe_cell(json.dumps(value, ensure_ascii=False) if isinstance(value, list | dict) else value)


def _journal(engine: Engine, kept_back: frozenset[int]) -> Iterator[bytes]:
    """The journal entry of every record, with all that its hash is made from."""
    sequences = {r.entry_sequence for m in records.tables() for r in _rows(m, engine, kept_back)}
    for sequence in sorted(sequences):
        entry = Entry.objects.get(sequence=sequence)
        facts = {f.name: getattr(entry, f.name) for f in Entry._meta.concrete_fields}
        yield json.dumps(facts, ensure_ascii=False).encode() + b"\n"


def _photo(photo: Photo) -> tuple[str, list[bytes]]:
    """A photo under its number in the journal; where its file is gone, a line that says so."""
    try:
        return f"photos/{photo.number}.jpg", [evidence_files.read(photo.image.sha256)]
    except OSError:
        gone = f"The file of this photo cannot be read. Its SHA-256 is {photo.image.sha256}.\n"
        return f"photos/{photo.number}-missing.txt", [gone.encode()]


def _evidence(engine: Engine) -> Iterator[bytes]:
    """Evidence files by hash and name, as `sha256sum` checks them."""
    for row in EvidenceFile.objects.filter(unlinked_records.logs(engine)).order_by("entry_sequence"):
        plain = "".join(c if c.isprintable() and c not in "/\\" else "-" for c in row.name)
        yield f"{row.sha256}  {plain}\n".encode()
