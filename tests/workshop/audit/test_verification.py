"""Whatever is changed behind the journal's back, verifying names the entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.kept import once
from tickover.workshop.audit.verify import chained_models, verify
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.actions import append
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register.models import EngineTimeEntry, EvidenceFile, SheetVersion

TEXT_COLUMNS = ("at", "actor", "kind", "subject", "body", "previous_hash", "hash")
UNGUARD = {
    "sqlite": [f"DROP TRIGGER IF EXISTS journal_entry_no_{w}" for w in ("update", "delete", "replace")],
    "postgresql": ["ALTER TABLE journal_entry DISABLE TRIGGER USER"],
}


@contextmanager
def behind_its_back() -> Iterator[Any]:
    """A cursor with the triggers gone; all of it is undone at the end."""
    with transaction.atomic(), connection.cursor() as cursor:
        for statement in UNGUARD[connection.vendor]:
            cursor.execute(statement)
        yield cursor
        transaction.set_rollback(True)


@pytest.fixture
def book(outer: Any, crew: Any, igc: Callable[..., bytes], hands: Any, now: Any, data_folder: Path) -> Any:
    """A workshop with a track log and a job released: entries of many kinds."""

    def kept() -> Any:
        entry = time_actions.add_track_log(outer, igc(), "one.igc", who=crew.technician, at=now)
        job = hands.open(outer)
        hands.do_all(job)
        hands.release(job)
        return entry

    return once("book of many kinds", kept, data_folder)


def names(faults: tuple[str, ...], sequence: int) -> bool:
    return any(fault.startswith(f"Journal entry {sequence} ") for fault in faults)


def test_a_book_that_was_not_touched_is_sound(book: Any) -> None:
    outcome = verify()
    assert outcome.sound and outcome.faults == ()
    assert outcome.entries == outcome.head_sequence == Entry.objects.count()
    assert outcome.rows == sum(m._default_manager.count() for m in chained_models())
    assert outcome.files == 1
    assert outcome.head_hash == Entry.objects.get(sequence=outcome.head_sequence).hash


def test_an_empty_journal_is_sound(db: None) -> None:
    assert verify().sound and verify().head_sequence == 0


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_one_character_of_any_text_column_names_its_entry(book: Any, data: st.DataObject) -> None:
    sequence = data.draw(st.integers(1, Entry.objects.count()))
    column = data.draw(st.sampled_from(TEXT_COLUMNS))
    held = Entry.objects.values_list(column, flat=True).get(sequence=sequence)
    place = data.draw(st.integers(0, len(held) - 1))
    put = data.draw(st.characters(codec="utf-8", exclude_characters=f"\0{held[place]}"))
    changed = held[:place] + put + held[place + 1 :]
    with behind_its_back() as cursor:
        cursor.execute(f"UPDATE journal_entry SET {column} = %s WHERE sequence = %s", [changed, sequence])
        assert names(verify().faults, sequence)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_another_number_of_an_entry_is_named(book: Any, data: st.DataObject) -> None:
    last = Entry.objects.count()
    sequence = data.draw(st.integers(1, last))
    put = data.draw(st.integers(last + 1, 2**63 - 1) | st.integers(-(2**63), 0))
    with behind_its_back() as cursor:
        cursor.execute("UPDATE journal_entry SET sequence = %s WHERE sequence = %s", [put, sequence])
        assert names(verify().faults, put)


def test_a_byte_that_is_no_text_at_all_is_named(book: Any) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL stores no text that is not UTF-8")
    with behind_its_back() as cursor:
        cursor.execute("UPDATE journal_entry SET actor = CAST(x'74ff6c6461' AS TEXT) WHERE sequence = 5")
        assert names(verify().faults, 5)
    assert verify().sound


def test_a_body_made_anew_with_a_fitting_hash_breaks_the_chain_after_it(book: Any) -> None:
    from tickover.workshop.kernel.journal_chain import entry_hash

    e = Entry.objects.values().get(sequence=4)
    e.pop("hash")
    e["body"] = "{}"
    with behind_its_back() as cursor:
        cursor.execute(
            "UPDATE journal_entry SET body = '{}', hash = %s WHERE sequence = 4", [entry_hash(**e)]
        )
        assert names(verify().faults, 5)


@pytest.mark.parametrize("sequence", [1, 5])
def test_an_entry_taken_out_is_named_by_the_one_after_it(book: Any, sequence: int) -> None:
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM journal_entry WHERE sequence = %s", [sequence])
        faults = verify().faults
    assert any(f"the entry before it, {sequence}, is missing" in fault for fault in faults)


def test_the_last_entry_taken_out_is_named_by_its_record(book: Any) -> None:
    last = Entry.objects.count()
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM journal_entry WHERE sequence = %s", [last])
        faults = verify().faults
    assert names(faults, last) and "its entry is not in the journal" in faults[0]


@pytest.mark.parametrize(
    ("model", "change"),
    [
        ("register.EngineTimeEntry", "duration_h = 0.1"),
        ("register.EngineTimeEntry", "on_day = '2020-01-01'"),
        ("register.Engine", "serial = '9999'"),
        ("register.SheetVersion", "text = 'other'"),
        ("bench.Reading", "value = 1.5"),
        ("bench.StepMark", "remark = 'later'"),
        ("bench.Release", "limitations = ''' none at all'''"),
        ("programme.TaskDone", "at_h = 0"),
    ],
)
def test_a_record_changed_afterwards_is_named(book: Any, model: str, change: str) -> None:
    kind = apps.get_model(model)
    row = kind.objects.order_by("pk").first()
    with behind_its_back() as cursor:
        cursor.execute(f"UPDATE {kind._meta.db_table} SET {change} WHERE id = %s", [row.pk])
        faults = verify().faults
    assert names(faults, row.entry_sequence) and "the record differs from its entry" in faults[0]


def test_an_entry_from_before_sheets_were_told_by_their_hash_holds_the_text_itself(
    sheet: Any, now: Any
) -> None:
    old = SheetVersion(fingerprint="0" * 64, sheet_id="old", version=1, text="id = 'old'")
    with transaction.atomic():
        body = {"record": old._meta.label, "facts": old.plain()}
        old.entry_sequence = append("type sheet kept", "sheet/old", body, actor="tilda", at=now).sequence
        old.save()
    assert verify().faults == ()
    with behind_its_back():
        SheetVersion.objects.filter(pk=old.pk).update(text="id = 'new'")
        assert names(verify().faults, old.entry_sequence)


def test_a_record_taken_out_is_named(book: Any) -> None:
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM register_enginetimeentry WHERE id = %s", [book.pk])
        faults = verify().faults
    assert names(faults, book.entry_sequence)


def test_a_changed_byte_of_an_evidence_file_is_named(book: Any) -> None:
    place = evidence_files.place_of(book.evidence.sha256)
    data = bytearray(place.read_bytes())
    data[1000] ^= 1
    place.write_bytes(data)
    faults = verify().faults
    assert names(faults, book.evidence.entry_sequence) and "the file was changed" in faults[0]


def test_an_evidence_file_that_is_gone_is_named(book: Any) -> None:
    evidence_files.place_of(book.evidence.sha256).unlink()
    faults = verify().faults
    assert names(faults, book.evidence.entry_sequence) and "cannot be read" in faults[0]


def test_a_part_of_a_file_left_by_a_crash_is_no_evidence(book: Any, data_folder: Path) -> None:
    place = evidence_files.place_of(book.evidence.sha256)
    (place.parent / ".part-abc").write_bytes(b"half")
    assert verify().sound and EvidenceFile.objects.count() == 1


def test_times_given_in_another_zone_are_no_fault(outer: Any, hands: Any) -> None:
    hands.at = hands.at.astimezone(timezone(timedelta(hours=-7)))
    job = hands.open(outer)
    hands.do(job, "make-safe")
    assert verify().faults == ()


def test_nothing_is_changed_by_looking(book: Any) -> None:
    before = list(Entry.objects.values_list()), list(EngineTimeEntry.objects.values_list())
    verify()
    assert (list(Entry.objects.values_list()), list(EngineTimeEntry.objects.values_list())) == before
