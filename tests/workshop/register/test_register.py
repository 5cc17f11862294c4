"""The register: engines, and engine time that rests on evidence."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tickover.formats import igc as igc_format
from tickover.formats.errors import FormatError
from tickover.sheets import SheetError, shipped_texts
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register import actions, queries
from tickover.workshop.register.models import Engine, EngineTimeEntry, EvidenceFile, SheetVersion

pytestmark = pytest.mark.usefixtures("verified")


@dataclass
class Counter:
    """Adds track logs as the technician, and tells whether anything at all was left behind."""

    who: Any
    at: datetime
    folder: Path

    def add(self, engine: Any, data: bytes, name: str = "flight.igc") -> EngineTimeEntry:
        return time_actions.add_track_log(engine, data, name, who=self.who, at=self.at)

    def traces(self) -> tuple[int, int, int, list[str]]:
        kept = sorted(p.name for p in (self.folder / "files").rglob("*") if p.is_file())
        return EngineTimeEntry.objects.count(), EvidenceFile.objects.count(), Entry.objects.count(), kept


@pytest.fixture
def counter(crew: Any, now: datetime, data_folder: Path) -> Counter:
    return Counter(crew.technician, now, data_folder)


def test_a_track_log_adds_the_time_its_engine_ran(
    counter: Counter, outer: Any, igc: Callable[..., bytes]
) -> None:
    entry = counter.add(outer, igc(minutes=30))
    # The flight was made to run 30 minutes, a fix every 4 s.
    assert entry.duration_h == pytest.approx(0.5, abs=0.01)
    assert (entry.starts, entry.grade) == (1, "track log with engine noise")
    assert engine_time.total_time(outer).hours_h == entry.duration_h
    assert len(entry.runs) == 1


def test_the_evidence_is_kept_whole_under_its_hash(
    counter: Counter, outer: Any, igc: Callable[..., bytes]
) -> None:
    data = igc()
    entry = counter.add(outer, data, "Tuesday.igc")
    sha256 = hashlib.sha256(data).hexdigest()
    assert (entry.evidence.sha256, entry.evidence.size, entry.evidence.name) == (
        sha256,
        len(data),
        "Tuesday.igc",
    )
    assert (counter.folder / "files" / sha256[:2] / sha256).read_bytes() == data
    assert engine_time.derived_again(entry).found.duration_h == entry.duration_h


def test_file_and_time_stand_in_the_journal(counter: Counter, outer: Any, igc: Callable[..., bytes]) -> None:
    entry = counter.add(outer, igc())
    added, kept = Entry.objects.order_by("-sequence")[:2]
    assert (added.kind, added.subject, added.actor) == ("engine time added", "engine/1200", "tilda")
    assert (kept.kind, kept.subject) == ("evidence file kept", f"file/{entry.evidence.sha256}")
    assert entry.entry_sequence == added.sequence


def test_times_add_up_and_their_variances_too(hours: Callable[..., Any], outer: Any) -> None:
    hours(outer, 12.0, sd_h=0.3)
    hours(outer, 1.5, sd_h=0.4)
    total = engine_time.total_time(outer)
    # Hand sum: 12.0 + 1.5; sqrt(0.09 + 0.16) = 0.5.
    assert (total.hours_h, total.sd_h, total.expanded_h) == (13.5, pytest.approx(0.5), pytest.approx(1.0))
    assert total.by_grade == (("log entry", 13.5),)


def test_time_until_a_day_leaves_out_what_came_after(hours: Callable[..., Any], outer: Any) -> None:
    hours(outer, 2.0, date(2025, 2, 1))
    hours(outer, 3.0, date(2025, 3, 1))
    assert engine_time.total_time(outer, until=date(2025, 2, 28)).hours_h == 2.0


@pytest.mark.parametrize("other", [False, True], ids=["same engine", "other engine"])
def test_the_very_same_file_is_added_once(
    counter: Counter, outer: Any, inner: Any, igc: Callable[..., bytes], other: bool
) -> None:
    first = counter.add(outer, igc())
    before = counter.traces()
    with pytest.raises(
        actions.RegisterError, match=f"already, to Outer, as journal entry {first.entry_sequence}"
    ):
        counter.add(inner if other else outer, igc(), "renamed.igc")
    assert counter.traces() == before


def test_the_same_minutes_are_not_counted_twice(
    counter: Counter, outer: Any, igc: Callable[..., bytes]
) -> None:
    counter.add(outer, igc(seed=1))
    before = counter.traces()
    with pytest.raises(actions.RegisterError, match="never counted twice"):
        counter.add(outer, igc(counter.at - timedelta(days=1) + timedelta(minutes=10), seed=2))
    assert counter.traces() == before


def test_two_engines_may_run_at_the_same_time(
    counter: Counter, outer: Any, inner: Any, igc: Callable[..., bytes]
) -> None:
    counter.add(outer, igc(seed=1))
    counter.add(inner, igc(seed=2))
    assert engine_time.total_time(outer).hours_h > 0.4 and engine_time.total_time(inner).hours_h > 0.4


def test_a_log_added_to_the_wrong_engine_is_withdrawn_and_added_to_the_right_one(
    counter: Counter, outer: Any, inner: Any, igc: Callable[..., bytes]
) -> None:
    wrong = counter.add(outer, igc())
    time_actions.withdraw(wrong, " wrong engine ", who=counter.who, at=counter.at)
    right = counter.add(inner, igc())
    assert engine_time.total_time(outer).hours_h == 0.0
    assert engine_time.total_time(inner).hours_h == right.duration_h
    assert EvidenceFile.objects.count() == 1
    lines = engine_time.time_lines(outer)
    assert [(line.replaced, line.replaces_sequence) for line in lines] == [
        (False, wrong.entry_sequence),
        (True, None),
    ]
    assert lines[0].remarks == ("wrong engine",)


def test_a_withdrawal_wants_a_reason(counter: Counter, outer: Any, igc: Callable[..., bytes]) -> None:
    entry = counter.add(outer, igc())
    before = counter.traces()
    with pytest.raises(actions.RegisterError, match="why this entry is withdrawn"):
        time_actions.withdraw(entry, "  ", who=counter.who, at=counter.at)
    assert counter.traces() == before


def test_an_entry_is_withdrawn_once(counter: Counter, outer: Any, igc: Callable[..., bytes]) -> None:
    entry = counter.add(outer, igc())
    time_actions.withdraw(entry, "twice by mistake", who=counter.who, at=counter.at)
    with pytest.raises(actions.RegisterError, match="replaced already"):
        time_actions.withdraw(entry, "again", who=counter.who, at=counter.at)


def test_a_flight_still_to_come_is_refused(counter: Counter, outer: Any, igc: Callable[..., bytes]) -> None:
    before = counter.traces()
    with pytest.raises(actions.RegisterError, match=r"still to come\. Check the recorder's clock"):
        counter.add(outer, igc(counter.at + timedelta(days=1)))
    assert counter.traces() == before


NOT_TRACK_LOGS = {
    "empty": (b"", "empty"),
    "blank": (b" \r\n\r\n", "empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0" * 200, "PNG picture"),
    "a gpx": (b'<?xml version="1.0"?><gpx version="1.1"><trk/></gpx>', "GPX track"),
    "an archive": (b"PK\x03\x04" + b"\0" * 60, "ZIP archive"),
    "noise": (bytes(range(256)) * 8, "binary file"),
    "a letter": (b"Dear workshop,\nthe engine ran two hours.\n", "no B record|no flight"),
    "no date": (b"AXXX001\r\nB1012005231212N01403123EA0010000142\r\n", "date"),
    "cut short": (b"AXXX001\r\nHFDTE040525\r\nB10120052312", "none of the 1 B records"),
}


@pytest.mark.parametrize(("data", "says"), NOT_TRACK_LOGS.values(), ids=list(NOT_TRACK_LOGS))
def test_what_is_no_track_log_leaves_nothing_behind(
    counter: Counter, outer: Any, data: bytes, says: str
) -> None:
    before = counter.traces()
    with pytest.raises(FormatError, match=says):
        counter.add(outer, data)
    assert counter.traces() == before


def test_a_file_too_large_leaves_nothing_behind(
    counter: Counter, outer: Any, igc: Callable[..., bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(igc_format, "SIZE_LIMIT_BYTES", 1000)
    before = counter.traces()
    with pytest.raises(FormatError, match="at most"):
        counter.add(outer, igc())
    assert counter.traces() == before


def test_a_log_that_breaks_off_counts_up_to_where_it_breaks(
    counter: Counter, outer: Any, igc: Callable[..., bytes]
) -> None:
    whole = igc(minutes=30)
    entry = counter.add(outer, whole[: len(whole) // 2])
    assert 0.1 < entry.duration_h < 0.4


def test_a_fault_in_the_middle_takes_everything_back(
    counter: Counter, outer: Any, igc: Callable[..., bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise OSError("disk full")

    before = counter.traces()
    monkeypatch.setattr(time_actions, "_enter_track_log", fail)
    with pytest.raises(OSError, match="disk full"):
        counter.add(outer, igc())
    rows_and_entries = counter.traces()[:3]
    assert rows_and_entries == before[:3]


def test_a_disk_that_fails_while_writing_leaves_no_half_a_file(
    counter: Counter, outer: Any, igc: Callable[..., bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: int) -> None:
        raise OSError("no space left on device")

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(OSError, match="no space"):
        counter.add(outer, igc())
    assert not evidence_files.place_of(evidence_files.sha256_of(igc())).exists()
    assert EngineTimeEntry.objects.count() == EvidenceFile.objects.count() == 0


@pytest.mark.parametrize("hours_h", [-0.1, 20_000.0, float("nan"), float("inf")])
def test_hours_that_no_engine_has_are_refused(hours: Callable[..., Any], outer: Any, hours_h: float) -> None:
    with pytest.raises(actions.RegisterError, match="cannot be an engine's time"):
        hours(outer, hours_h)


def test_hours_of_a_day_to_come_are_refused(crew: Any, outer: Any, now: datetime) -> None:
    typed = time_actions.TypedHours(1.0, 0.1, now.date() + timedelta(days=1), "log entry", "pilot's log")
    with pytest.raises(actions.RegisterError, match="still to come"):
        time_actions.enter_hours(outer, typed, who=crew.manager, at=now)


def test_a_serial_is_in_the_register_once(outer: Any, crew: Any, now: datetime) -> None:
    new = actions.NewEngine("Twin", "1200", outer.sheet_id, outer.build_id, now.date())
    with pytest.raises(actions.RegisterError, match="1200 is in the register already"):
        actions.add_engine(new, outer.owner, who=crew.manager, at=now)
    assert Engine.objects.count() == 1


def test_an_engine_of_an_unknown_build_is_not_added(outer: Any, crew: Any, now: datetime) -> None:
    new = actions.NewEngine("Odd", "7", outer.sheet_id, "no-such-build", now.date())
    with pytest.raises(LookupError, match="no-such-build"):
        actions.add_engine(new, outer.owner, who=crew.manager, at=now)
    assert Engine.objects.count() == 1


def test_the_same_sheet_is_kept_once_and_a_new_version_beside_it(sheet: Any, now: datetime) -> None:
    name = "velisk-185.toml"
    text = shipped_texts()[name]
    again = actions.keep_sheet(text, name, actor="tickover", at=now)
    assert again.pk == sheet.pk
    newer = text.replace(f"\nversion = {sheet.version}\n", f"\nversion = {sheet.version + 1}\n", 1)
    actions.keep_sheet(newer, name, actor="tickover", at=now)
    assert SheetVersion.objects.count() == 2
    assert queries.newest_sheet(sheet.sheet_id).version == sheet.version + 1
    assert queries.sheet_of(sheet).version == sheet.version


def test_a_sheet_with_a_fault_is_not_kept(shop: Any, now: datetime) -> None:
    with pytest.raises(SheetError):
        actions.keep_sheet("id = 'half", "half.toml", actor="tickover", at=now)
    assert not SheetVersion.objects.exists()
