"""Every column of every table that the chain holds: whatever SQL does to it, verifying names row and column."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from itertools import zip_longest
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, models, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tickover.workshop.audit.verify import chained_models, recorded_models, verify
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.models import Chained, Entry, Recorded
from tickover.workshop.people.models import Person, Workshop
from tickover.workshop.register.models import EvidenceFile

OUTSIDE = {
    "journal.Entry": "the chain itself: every column is in its hash",
    "journal.FormKey": "which forms have arrived; what they entered is in the chain",
    "people.SignInLink": "a key that is spent within the hour; no record rests on it",
    "knowledge.SheetDraft": "a draft decides nothing before it is kept as a version",
    "takeover.RememberedColumns": "which column is which in tables read before; it fills forms and records nothing",
    "programme.SentDate": "what calendars were last told, made anew from the records",
    "auth.Permission": "Django's; rights go by the person's role",
    "auth.Group": "Django's; rights go by the person's role",
    "contenttypes.ContentType": "Django's list of models",
    "sessions.Session": "who is signed in now",
    "axes.AccessAttempt": "wrong passwords of late",
    "axes.AccessFailureLog": "wrong passwords of late",
    "axes.AccessAttemptExpiration": "wrong passwords of late",
    "axes.AccessLog": "when somebody signed in",
}
"""Tables that the chain does not hold, each with the reason."""

ALONE = {(Workshop, "id"): "the database lets it hold no row but number 1"}


def test_every_table_is_in_the_chain_or_has_a_reason_not_to_be() -> None:
    labels = {m._meta.label for m in apps.get_models() if not issubclass(m, Chained)}
    assert labels == set(OUTSIDE)


def test_the_columns_outside_the_chain_are_these() -> None:
    outside = {m._meta.label: set(m.outside_the_chain) for m in chained_models() if m.outside_the_chain}
    assert outside == {"people.Person": {"last_login", "password"}}
    assert all(reason for m in chained_models() for reason in m.outside_the_chain.values())


@pytest.fixture
def book(shop: Any, now: datetime) -> dict[Any, Any]:
    """One row of every kind, and the people and the workshop."""
    rows: dict[Any, Any] = {Person: Person.objects.order_by("pk").last(), Workshop: shop}
    with transaction.atomic():
        for model in recorded_models():
            _add(model, rows, now)
    assert verify().faults == ()
    return rows


def _add(model: type[Recorded], rows: dict[Any, Any], now: datetime) -> None:
    if model in rows:
        return
    for field in model._meta.concrete_fields:
        target = field.related_model
        if target and target is not model and target not in rows:
            _add(target, rows, now)
    row = model(**{f.attname: _value(f, model, rows, now) for f in _columns(model) if f.name != "id"})
    journal.record(row, "test", f"test/{model._meta.label}", actor="maud", at=now)
    rows[model] = row


def _columns(model: type[Chained]) -> list[Any]:
    return [f for f in model._meta.concrete_fields if f.attname not in model.outside_the_chain]


def _value(field: Any, model: type[Chained], rows: dict[Any, Any], now: datetime) -> Any:
    if field.related_model:
        return None if field.related_model is model else rows[field.related_model].pk
    if (model, field.name) == (EvidenceFile, "sha256"):
        return evidence_files.keep(b"evidence")
    by_kind: list[tuple[Any, Any]] = [
        (models.BooleanField, True),
        (models.FloatField, 1.5),
        (models.IntegerField, 3),
        (models.DateTimeField, now),
        (models.DateField, now.date()),
        (models.JSONField, {"a": 1}),
        (models.Field, "words"),
    ]
    return next(value for kind, value in by_kind if isinstance(field, kind))


def _another(field: Any, held: Any) -> Any:
    """Another value of the same kind, as SQL takes it."""
    if isinstance(field, models.JSONField):
        return '{"a": 2}'
    if isinstance(field, models.BooleanField):
        return not held
    if isinstance(held, datetime):
        return held + timedelta(seconds=1)
    if isinstance(held, date):
        return held + timedelta(days=1)
    if isinstance(held, int | float):
        return held + 1000
    return 1 if field.related_model else f"{held or ''}x"[-field.max_length if field.max_length else None :]


@contextmanager
def sql() -> Iterator[Any]:
    """A cursor whose changes are undone at the end; references are not checked meanwhile."""
    with transaction.atomic(), connection.cursor() as cursor:
        yield cursor
        transaction.set_rollback(True)


def settle(cursor: Any) -> None:
    """PostgreSQL changes no table whose references wait to be checked."""
    if connection.vendor == "postgresql":
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def named(faults: tuple[str, ...], row: Any, column: str) -> bool:
    """A fault names the row, by its entry or its new number, and the column."""
    mine = [f for f in faults if f.startswith((f"Journal entry {_entry_of(row)} ", "Record "))]
    return any(column in f or "its entry is not in the journal" in f for f in mine)


def _entry_of(row: Any) -> int:
    if isinstance(row, Recorded):
        return row.entry_sequence
    subject = f"person/{row.username}" if isinstance(row, Person) else "workshop"
    return Entry.objects.filter(subject=subject).order_by("-sequence").values_list("sequence", flat=True)[0]


def _changes(model: type[Chained], row: Any) -> Iterator[tuple[Any, Any]]:
    """Every column of a row with another value, and with none where it may be empty."""
    for field in _columns(model):
        held = getattr(row, field.attname)
        if (model, field.name) not in ALONE:
            yield field, _another(field, held)
            if field.null and held is not None:
                yield field, None


def test_any_column_changed_by_sql_is_named(book: dict[Any, Any]) -> None:
    """In each round one column of every table: each has its own sentence, by its entry and its name."""
    rounds = zip_longest(*([(row, *change) for change in _changes(m, row)] for m, row in book.items()))
    count = 0
    for changes in rounds:
        done = [change for change in changes if change is not None]
        with sql() as cursor:
            for row, field, value in done:
                put = f'UPDATE {row._meta.db_table} SET "{field.column}" = %s WHERE id = %s'
                cursor.execute(put, [value, row.pk])
            faults = verify().faults
        for row, field, value in done:
            column = "is gone" if field.name == "entry_sequence" else field.column
            assert named(faults, row, column), (row, field.name, value, faults)
        count += len(done)
    assert count > 400
    assert verify().faults == ()


def test_columns_outside_the_chain_are_no_fault(book: dict[Any, Any]) -> None:
    with sql() as cursor:
        cursor.execute(
            "UPDATE people_person SET last_login = %s, password = 'x'", ["2026-01-01 00:00:00+00:00"]
        )
        assert verify().faults == ()


def test_a_row_taken_out_by_sql_is_named(book: dict[Any, Any]) -> None:
    with sql() as cursor:
        for model, row in book.items():
            cursor.execute(f"DELETE FROM {model._meta.db_table} WHERE id = %s", [row.pk])
        faults = verify().faults
    for row in book.values():
        assert any(f.startswith(f"Journal entry {_entry_of(row)} ") and "is gone" in f for f in faults), row


def test_a_row_added_by_sql_is_named(book: dict[Any, Any]) -> None:
    added = [_copy(model, row) for model, row in book.items() if model is not Workshop]
    with transaction.atomic():
        for row in added:
            row.save(force_insert=True)
        faults = verify().faults
        transaction.set_rollback(True)
    for row in added:
        assert any(f" {row.pk}" in f and "its entry is not in the journal" in f for f in faults), row


def _copy(model: type[Chained], row: Any) -> Any:
    copy = {f.attname: getattr(row, f.attname) for f in model._meta.concrete_fields}
    for field in model._meta.concrete_fields:
        held = copy[field.attname]
        if field.unique and held is not None:
            copy[field.attname] = held + 10_000 if isinstance(held, int) else f"{held}x"[-field.max_length :]
    for names in (c.fields for c in model._meta.constraints if isinstance(c, models.UniqueConstraint)):
        copy[names[-1]] = f"{copy[names[-1]]}x"
    return model(**copy)


def test_a_row_that_borrows_the_entry_of_another_kind_is_named(book: dict[Any, Any]) -> None:
    from tickover.workshop.register.models import Owner

    borrowed = book[EvidenceFile].entry_sequence
    with sql() as cursor:
        cursor.execute(
            "INSERT INTO register_owner (id, name, entry_sequence) VALUES (99, 'Nobody', %s)", [borrowed]
        )
        faults = verify().faults
    assert Owner.objects.count() == 1
    assert any(f.startswith(f"Journal entry {borrowed} (owner 99): ") for f in faults)


def test_two_people_who_change_numbers_are_named(book: dict[Any, Any]) -> None:
    """Swapped numbers let the one's work be the other's."""
    first, second = Person.objects.order_by("pk")[:2]
    with sql() as cursor:
        for old, new in ((first.pk, 999), (second.pk, first.pk), (999, second.pk)):
            cursor.execute("UPDATE people_person SET id = %s WHERE id = %s", [new, old])
        faults = verify().faults
    assert sum("(person" in f for f in faults) >= 2


ODD = st.one_of(
    st.none(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.text(max_size=8),
    st.binary(max_size=8),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_anything_at_all_put_into_a_column_ends_in_a_sentence(
    book: dict[Any, Any], data: st.DataObject
) -> None:
    """SQLite takes any value in any column; verifying goes on, and says so unless it means the same."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL takes only values of the column's kind")
    model = data.draw(st.sampled_from(chained_models()), label="model")
    field = data.draw(st.sampled_from(_columns(model)), label="column")
    put, row = data.draw(ODD, label="value"), book[model]
    refused = False
    with sql() as cursor:
        try:
            cursor.execute(
                f'UPDATE {model._meta.db_table} SET "{field.column}" = %s WHERE id = %s', [put, row.pk]
            )
        except Exception:
            refused = True  # NOT NULL, CHECK or a number too large for the key
        else:
            faults = verify().faults
            same = (
                next(iter(model.objects.filter(pk=row.pk).values_list(field.attname, flat=True)), ...)
                if not faults
                else ...
            )
            assert faults or same == getattr(row, field.attname)
    assert refused or verify().faults == ()


TABLES = [
    "register_owner",
    "people_person",
    "people_workshop",
    "register_evidencefile",
    "journal_entry",
    "bench_reading",
]


@pytest.mark.parametrize("table", TABLES)
def test_a_table_that_is_gone_is_named_and_the_rest_is_checked(
    book: dict[Any, Any], table: str, now: datetime
) -> None:
    how = "CASCADE" if connection.vendor == "postgresql" else ""
    evidence_files.place_of(book[EvidenceFile].sha256).write_bytes(b"changed")
    with sql() as cursor:
        settle(cursor)
        cursor.execute(f"DROP TABLE {table} {how}")
        cursor.execute("UPDATE programme_taskdone SET at_h = 99")
        faults = verify().faults
    assert faults[0].startswith(f"Table {table} is missing")
    assert any("(task done" in f and "at_h" in f for f in faults) is (table != "journal_entry")
    assert any("the file was changed" in f for f in faults) is (table != "register_evidencefile")
    assert len(faults) <= 12, faults


def test_a_column_that_is_gone_is_named_and_the_rest_is_checked(book: dict[Any, Any]) -> None:
    with sql() as cursor:
        settle(cursor)
        cursor.execute("ALTER TABLE bench_release DROP COLUMN limitations")
        cursor.execute("UPDATE programme_taskdone SET at_h = 99")
        faults = verify().faults
    assert faults[0] == "Column limitations of table bench_release is missing. It was removed."
    assert any("(task done" in f for f in faults)


GUARDS = {
    "sqlite": ["journal_entry_no_update", "journal_entry_no_delete", "journal_entry_no_replace"],
    "postgresql": ["journal_entry_no_change", "journal_entry_no_truncate"],
}


def drop(name: str) -> str:
    return f"DROP TRIGGER {name}" + (" ON journal_entry" if connection.vendor == "postgresql" else "")


def test_each_trigger_that_is_gone_is_named(book: dict[Any, Any]) -> None:
    for name in GUARDS[connection.vendor]:
        with sql() as cursor:
            cursor.execute(drop(name))
            (fault,) = verify().faults
        assert fault.startswith(f"Trigger {name} is missing")


def test_a_trigger_that_lets_changes_pass_is_named(book: dict[Any, Any]) -> None:
    name = GUARDS[connection.vendor][0]
    weaker = {
        "sqlite": [
            drop(name),
            f"CREATE TRIGGER {name} BEFORE UPDATE OF at ON journal_entry BEGIN SELECT 1; END",
        ],
        "postgresql": [f"ALTER TABLE journal_entry DISABLE TRIGGER {name}"],
    }
    with sql() as cursor:
        for statement in weaker[connection.vendor]:
            cursor.execute(statement)
        (fault,) = verify().faults
    assert fault.startswith(f"Trigger {name} ") and "changed or disabled" in fault


def test_a_trigger_function_that_lets_changes_pass_is_named(book: dict[Any, Any]) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL keeps a trigger's words in a function")
    with sql() as cursor:
        cursor.execute(
            "CREATE OR REPLACE FUNCTION journal_refuse() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RETURN NEW; END $$"
        )
        faults = verify().faults
    assert [f.split()[1] for f in faults] == GUARDS["postgresql"]


def test_a_trigger_of_somebody_else_on_the_journal_is_named(book: dict[Any, Any]) -> None:
    added = {
        "sqlite": "CREATE TRIGGER quiet AFTER INSERT ON journal_entry BEGIN SELECT 1; END",
        "postgresql": "CREATE TRIGGER quiet AFTER INSERT ON journal_entry EXECUTE FUNCTION journal_refuse()",
    }
    with sql() as cursor:
        cursor.execute(added[connection.vendor])
        (fault,) = verify().faults
    assert fault.startswith("Trigger quiet on the journal is not tickover's")


def test_a_person_changed_while_others_are_checked_is_no_fault(
    book: dict[Any, Any], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The entries are read before the rows, and somebody works on in between."""
    from tickover.workshop.audit import verify as verifying
    from tickover.workshop.people.actions import NewPerson, add_person, change_person

    inside: Callable[..., Any] = verifying.RowCheck

    def meanwhile(*arguments: Any) -> Any:
        change_person(book[Person], {"authority": "T-9"}, "renewed", actor="maud", at=now)
        add_person(NewPerson("pip", "Pip", "Arden", "technician"), at=now)
        return inside(*arguments)

    monkeypatch.setattr(verifying, "RowCheck", meanwhile)
    assert verify().faults == ()
