"""The journal: appended, never changed, each entry hashed over the one before."""

from __future__ import annotations

import hashlib
import json
import struct
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
import rfc8785
from django.db import DatabaseError, connection, connections, transaction
from hypothesis import given
from hypothesis import strategies as st

from tickover.workshop.kernel import actions, queries
from tickover.workshop.kernel.journal_chain import GENESIS, canonical, entry_hash
from tickover.workshop.kernel.models import Entry

pytestmark = pytest.mark.django_db

# RFC 8785, appendix B: IEEE 754 doubles in hexadecimal and how they are to be written.
NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


def append(kind: str, now: datetime, **body: Any) -> Entry:
    with transaction.atomic():
        return actions.append(kind, "bench/1", body, actor="tilda", at=now)


@pytest.fixture
def three(now: datetime) -> list[Entry]:
    return [append(kind, now, number=n) for n, kind in enumerate(("first", "second", "third"))]


@pytest.mark.parametrize(("bits", "written"), NUMBERS)
def test_numbers_are_written_as_rfc_8785_appendix_b_says(bits: str, written: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(value) == written


def test_the_sample_of_rfc_8785_section_3_2_2_comes_out_as_printed_there() -> None:
    given = r"""{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"""
    assert canonical(json.loads(given)) == (
        r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        r'"string":"€$\u000f\nA' + r"'" + r'B\"\\\\\"/"}'
    )


def test_names_are_sorted_as_rfc_8785_section_3_2_3_says() -> None:
    given = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    assert list(json.loads(canonical(given)).values()) == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_json_cannot_say_is_not_written(value: float, now: datetime) -> None:
    with pytest.raises(ValueError):
        append("a reading", now, value=value)
    assert not Entry.objects.exists()


def test_an_entry_is_refused_outside_a_transaction(now: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as told:
        # The test itself runs in a transaction; the connection is made to say otherwise.
        told.setattr(connections["default"], "in_atomic_block", False)
        with pytest.raises(RuntimeError, match="in the transaction of the change"):
            actions.append("x", "y", {}, actor="tilda", at=now)
    assert not Entry.objects.exists()


def test_each_entry_names_the_hash_of_the_one_before(three: list[Entry]) -> None:
    assert [e.sequence for e in three] == [1, 2, 3]
    assert [e.previous_hash for e in three] == [GENESIS, three[0].hash, three[1].hash]
    assert queries.head() == queries.Head(3, three[2].hash)


def test_the_hash_can_be_recomputed_with_nothing_but_json_and_sha_256(three: list[Entry]) -> None:
    """Python's own json and hashlib: for an array of an integer and of strings, canonical JSON is compact
    JSON without escapes beyond the short ones (RFC 8785, 3.2.2.2)."""
    for e in Entry.objects.all():
        columns = [e.sequence, e.at, e.actor, e.kind, e.subject, e.body, e.previous_hash]
        text = json.dumps(columns, ensure_ascii=False, separators=(",", ":"))
        assert e.hash == hashlib.sha256(text.encode("utf-8")).hexdigest()


def test_the_time_is_kept_in_utc_to_the_millisecond(now: datetime) -> None:
    at = datetime(2025, 5, 5, 11, 0, 0, 123456, tzinfo=timezone(timedelta(hours=2)))
    assert append("x", at).at == "2025-05-05T09:00:00.123+00:00"


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE journal_entry SET actor = 'somebody else' WHERE sequence = 2",
        "UPDATE journal_entry SET actor = actor",
        "DELETE FROM journal_entry WHERE sequence = 3",
        "DELETE FROM journal_entry",
    ],
)
def test_the_database_refuses_to_change_or_delete_an_entry(change: str, three: list[Entry]) -> None:
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(change)
    assert [(e.sequence, e.actor) for e in Entry.objects.all()] == [(1, "tilda"), (2, "tilda"), (3, "tilda")]


def test_an_entry_cannot_be_replaced_by_inserting_over_it(three: list[Entry]) -> None:
    """SQLite fires no delete trigger for INSERT OR REPLACE; PostgreSQL's way round is ON CONFLICT."""
    columns = "(sequence, at, actor, kind, subject, body, previous_hash, hash)"
    values = "(2, '', 'somebody else', '', '', '{}', '', 'ff')"
    over = {
        "sqlite": f"INSERT OR REPLACE INTO journal_entry {columns} VALUES {values}",
        "postgresql": f"INSERT INTO journal_entry {columns} VALUES {values} "
        "ON CONFLICT (sequence) DO UPDATE SET actor = EXCLUDED.actor",
    }
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(over[connection.vendor])
    assert Entry.objects.get(sequence=2).actor == "tilda"


def test_postgresql_refuses_to_empty_the_journal(three: list[Entry]) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL has TRUNCATE")
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute("TRUNCATE journal_entry CASCADE")


def test_the_newest_entries_come_first_and_by_subject(three: list[Entry], now: datetime) -> None:
    with transaction.atomic():
        actions.append("fourth", "engine/7", {}, actor="ingo", at=now)
        actions.append("fifth", "engine/70", {}, actor="ingo", at=now)
    assert [line.kind for line in queries.newest(2)] == ["fifth", "fourth"]
    assert [line.kind for line in queries.newest(before=3)] == ["second", "first"]
    assert [line.kind for line in queries.newest(subject="engine/")] == ["fifth", "fourth"]
    assert [line.kind for line in queries.newest(subject="engine/7")] == ["fourth"]
    assert queries.about("bench/1")[-1].body == {"number": 0}
    assert queries.one(4) is not None and queries.one(6) is None
    assert queries.one(4).at == now.astimezone(UTC)


@given(st.integers(1, 2**53 - 1), st.lists(st.text(), min_size=6, max_size=6))
def test_an_entry_is_hashed_over_its_canonical_form(sequence: int, words: list[str]) -> None:
    """RFC 8785 as the library rfc8785 writes it."""
    at, actor, kind, subject, body, previous = words
    found = entry_hash(
        sequence=sequence,
        at=at,
        actor=actor,
        kind=kind,
        subject=subject,
        body=body,
        previous_hash=previous,
    )
    assert found == hashlib.sha256(rfc8785.dumps([sequence, *words])).hexdigest()
