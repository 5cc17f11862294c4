"""The bundle that goes with an engine: complete, checkable without tickover, the same for the same records."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import subprocess
import tracemalloc
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.apps import apps

from tests.kept import once
from tests.workshop.photos.test_photos import picture
from tickover.workshop.components.actions import ComponentChange, NewComponent, add_component, fit
from tickover.workshop.engine_time.actions import add_track_log
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.models import Recorded
from tickover.workshop.logbook import bundle, records
from tickover.workshop.photos import actions as photos
from tickover.workshop.register.models import EngineTimeEntry
from tickover.workshop.visits.actions import TypedReading, take_reading

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def sold(
    outer: Any,
    inner: Any,
    crew: Any,
    hands: Any,
    igc: Callable[..., bytes],
    now: datetime,
    data_folder: Path,
) -> Any:
    """An engine with a track log, a component and a release, in a workshop that has another engine too."""
    return once("engine to be sold", lambda: _sold(outer, inner, crew, hands, igc, now), data_folder)


def _sold(outer: Any, inner: Any, crew: Any, hands: Any, igc: Callable[..., bytes], now: datetime) -> Any:
    add_track_log(outer, igc(), "=Tues day.igc", who=crew.technician, at=now)
    add_track_log(inner, igc(seed=3), "other.igc", who=crew.technician, at=now)
    part = add_component(NewComponent("clutch", "Clutch", "=K-7"), who=crew.manager, at=now)
    fit(part, outer, ComponentChange(now, crew.manager, now))
    job = hands.open(outer)
    hands.do_all(job)
    hands.release(job)
    return outer


def bytes_of(engine: Any) -> bytes:
    out = io.BytesIO()
    bundle.write(engine, out)
    return out.getvalue()


def opened(engine: Any) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(bytes_of(engine)))


def test_it_holds_papers_records_hashes_and_words(sold: Any) -> None:
    names = opened(sold).namelist()
    assert names[:3] == ["README.txt", "logbook.pdf", "releases/R-2025-0001.pdf"]
    assert names[-3:] == ["journal.jsonl", "evidence.sha256", "MANIFEST.sha256"]
    assert {"records/bench-reading.json", "records/bench-reading.csv"} <= set(names)


def test_sha256sum_of_the_gnu_core_utilities_finds_every_file_whole(sold: Any, tmp_path: Path) -> None:
    folder = tmp_path / "unpacked"
    opened(sold).extractall(folder)
    told = subprocess.run(
        ["sha256sum", "--strict", "-c", "MANIFEST.sha256"], cwd=folder, capture_output=True, text=True
    )
    assert told.returncode == 0, told.stderr
    on_disk = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    assert {line.rsplit(":", 1)[0] for line in told.stdout.splitlines()} == on_disk - {"MANIFEST.sha256"}


def test_the_same_records_give_the_same_bytes(sold: Any) -> None:
    assert bytes_of(sold) == bytes_of(sold)
    assert {i.date_time for i in opened(sold).infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_every_table_that_belongs_to_an_engine_is_in_it(sold: Any) -> None:
    """Counted from the other side: every table with a direct reference to an engine."""
    direct = {
        m
        for m in apps.get_models()
        if issubclass(m, Recorded) and any(f.name == "engine" for f in m._meta.concrete_fields)
    }
    left_out = {m._meta.label for m in direct} - {m._meta.label for m in records.tables()}
    assert left_out == {"programme.FeedAddress"}


def test_json_and_csv_hold_the_same_rows(sold: Any) -> None:
    held = opened(sold)
    for name in [n for n in held.namelist() if n.endswith(".json")]:
        rows = json.loads(held.read(name))
        table = list(csv.DictReader(io.StringIO(held.read(name.replace(".json", ".csv")).decode())))
        assert [r["entry"] for r in rows] == [int(r["entry"]) for r in table]
        assert not rows or list(rows[0]) == list(table[0])


def test_nothing_of_another_engine_goes_with_it(sold: Any) -> None:
    held = opened(sold)
    whole = b"".join(held.read(n) for n in held.namelist() if not n.endswith(".pdf"))
    assert b"1600" not in held.read("records/register-engine.json")
    assert b"other.igc" not in whole and b"Inner" not in whole


def test_a_record_refers_by_the_number_in_the_journal(sold: Any) -> None:
    held = opened(sold)
    job = json.loads(held.read("records/bench-job.json"))[0]
    engine = json.loads(held.read("records/register-engine.json"))[0]
    assert job["engine_entry"] == engine["entry"] == sold.entry_sequence
    assert job["opened_by"] == "Tilda Reeve"


def test_each_journal_entry_can_be_counted_again(sold: Any) -> None:
    lines = [json.loads(line) for line in opened(sold).read("journal.jsonl").splitlines()]
    numbers = [line["sequence"] for line in lines]
    assert numbers == sorted(set(numbers)) and sold.entry_sequence in numbers
    for line in lines:
        assert recounted(line) == line["hash"]


def recounted(line: dict[str, Any]) -> str:
    """As the README says, without a line of the workshop's own code (RFC 8785 of words and whole numbers)."""
    columns = [line[k] for k in ("sequence", "at", "actor", "kind", "subject", "body", "previous_hash")]
    written = json.dumps(columns, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(written.encode()).hexdigest()


def test_evidence_is_listed_by_its_hash(sold: Any, igc: Callable[..., bytes]) -> None:
    listed = opened(sold).read("evidence.sha256").decode()
    assert listed == f"{hashlib.sha256(igc()).hexdigest()}  =Tues day.igc\n"


def test_photos_go_with_it_but_for_those_withdrawn_and_of_other_engines(
    sold: Any, inner: Any, crew: Any, hands: Any, now: datetime
) -> None:
    job, by = hands.open(sold), {"who": crew.technician, "at": now}
    of = f"job/{job.number}"
    kept = [
        photos.add_photo(subject, picture(size=(40 + 2 * n, 20)), **by)
        for n, subject in enumerate(("engine/1200", of, f"{of}/step/make-safe"))
    ]
    gone = photos.add_photo(of, picture(size=(60, 20)), **by)
    photos.withdraw(gone, "not this engine", **by)
    photos.add_photo("engine/1600", picture(size=(80, 20)), **by)
    held = opened(sold)
    assert [n for n in held.namelist() if n.startswith("photos/")] == [f"photos/{p.number}.jpg" for p in kept]
    for row in kept:
        assert hashlib.sha256(held.read(f"photos/{row.number}.jpg")).hexdigest() == row.image.sha256
    told = {r["entry"] for r in json.loads(held.read("records/photos-photo.json"))}
    assert told == {row.number for row in [*kept, gone]}
    assert json.loads(held.read("records/photos-photo-withdrawn.json"))[0]["reason"] == "not this engine"
    # A picture as small as this is its own thumbnail.
    assert len(json.loads(held.read("records/register-evidence-file.json"))) == 1 + 4
    assert len(held.read("evidence.sha256").splitlines()) == 1


def test_a_photo_whose_file_is_gone_is_told_of(sold: Any, crew: Any, now: datetime) -> None:
    row = photos.add_photo("engine/1200", picture(), who=crew.technician, at=now)
    place = evidence_files.place_of(row.image.sha256)
    data = place.read_bytes()
    place.unlink()
    assert row.image.sha256 in opened(sold).read(f"photos/{row.number}-missing.txt").decode()
    place.write_bytes(data)


def test_the_instruments_it_was_measured_with_go_with_it(
    sold: Any, crew: Any, hands: Any, now: datetime
) -> None:
    by = {"who": crew.technician, "at": now}
    wrench = NewInstrument("TW-1", "torque-wrench", "Torque wrench", "N.m", 0.5, 0.4)
    used = instruments.add_instrument(wrench, **by)
    instruments.calibrate(used, NewCalibration(now.date(), "C-1"), **by)
    instruments.add_instrument(replace(wrench, number="TW-2"), **by)
    entry = TypedReading({"typed": "10"}, instrument="TW-1")
    take_reading(hands.open(sold), "flange-torque", entry, **by)
    held = opened(sold)
    named = [r["number"] for r in json.loads(held.read("records/instruments-instrument.json"))]
    assert named == ["TW-90", "TW-1"]
    certificates = json.loads(held.read("records/instruments-calibration.json"))
    assert [r["certificate"] for r in certificates] == ["TW-90-C", "C-1"]


def test_what_a_spreadsheet_would_run_is_plain_text(sold: Any) -> None:
    held = opened(sold)
    assert ",'=K-7," in held.read("records/register-component.csv").decode()
    assert json.loads(held.read("records/register-component.json"))[0]["serial"] == "=K-7"


def test_the_logbook_in_it_is_the_one_that_is_printed(sold: Any) -> None:
    from tickover.workshop.logbook.engine_papers import logbook

    held = opened(sold)
    assert held.read("logbook.pdf") == logbook(sold)
    assert (
        "R-2025-0001"
        in pypdf.PdfReader(io.BytesIO(held.read("releases/R-2025-0001.pdf"))).pages[0].extract_text()
    )


def test_an_engine_without_any_work_has_a_bundle_too(inner: Any) -> None:
    held = opened(inner)
    assert held.testzip() is None and json.loads(held.read("records/bench-job.json")) == []


def test_memory_does_not_grow_with_the_history(sold: Any, crew: Any, tmp_path: Path) -> None:
    """4,000 entries of engine time more cost a table of rows less than twice the memory."""
    few = peak_of_a_table(sold, tmp_path)
    first = EngineTimeEntry.objects.filter(engine=sold).first()
    facts = {
        f.attname: getattr(first, f.attname) for f in EngineTimeEntry._meta.concrete_fields if f.name != "id"
    }
    extra = [
        EngineTimeEntry(**{**facts, "entry_sequence": 10_000 + n, "on_day": date(2025, 1, 2)})
        for n in range(4000)
    ]
    EngineTimeEntry.objects.bulk_create(extra)
    many = peak_of_a_table(sold, tmp_path)
    EngineTimeEntry.objects.filter(entry_sequence__gte=10_000).delete()
    assert many < few + 8_000_000


def peak_of_a_table(engine: Any, folder: Path) -> int:
    tracemalloc.start()
    with (folder / "table").open("wb") as out:
        out.writelines(bundle._json(EngineTimeEntry, engine, frozenset()))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_the_page_sends_it_as_a_file(sold: Any, signed_in: Callable[..., Any], crew: Any) -> None:
    answer = signed_in(crew.technician).get("/engines/1200/bundle.zip")
    data = b"".join(answer.streaming_content)
    assert answer["Content-Type"] == "application/zip" and int(answer["Content-Length"]) == len(data)
    assert 'filename="engine-1200.zip"' in answer["Content-Disposition"]
    assert data == bytes_of(sold)
