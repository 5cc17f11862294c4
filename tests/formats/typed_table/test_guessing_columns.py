"""Which column is which: by the header, else by what is in it."""

from __future__ import annotations

import pytest

from tickover.formats.errors import FormatError
from tickover.formats.typed_table.columns import fingerprint_of, guess_columns, hours_typed
from tickover.formats.typed_table.reading import read_pasted_rows

WORDS = {
    "task": ("task", "service", "work"),
    "hours": ("hours", "h", "at"),
    "day": ("date", "on", "done on"),
}


def guess(text: str) -> tuple[bool, dict[str, int]]:
    found = guess_columns(read_pasted_rows(text, most_rows=100), WORDS)
    return found.header, dict(found.places)


@pytest.mark.parametrize(
    ("text", "header", "places"),
    [
        ("Task\tHours\tDate\nPlug\t5\t2024-01-02", True, {"task": 0, "hours": 1, "day": 2}),
        ("Done on\tAt (h)\tWork\n2024-01-02\t5\tPlug", True, {"day": 0, "hours": 1, "task": 2}),
        (
            "2024-01-02\t5,5\tPlug renewed\n4.5.2024\t7\tReeds looked at",
            False,
            {"day": 0, "hours": 1, "task": 2},
        ),
        ("No.\tWhat\tWann\n1x\tPlug renewed\t2024-01-02", True, {"task": 1, "day": 2}),
        ("Plug renewed\t205:30\nReeds renewed\t180", False, {"task": 0, "hours": 1}),
        ("x\ty\nz\tw", False, {}),
    ],
)
def test_the_columns_are_found(text: str, header: bool, places: dict[str, int]) -> None:
    assert guess(text) == (header, places)


def test_one_column_is_never_two_things() -> None:
    _, places = guess("hours at work\tdate\n5\t2024-01-02")
    assert len(set(places.values())) == len(places)


def test_rows_keep_the_numbers_of_their_lines() -> None:
    table = read_pasted_rows("Task\tHours\n\nPlug\t5", most_rows=100)
    columns = guess_columns(table, WORDS)
    assert columns.rows(table) == [(3, ("Plug", "5"))]
    assert (columns.cell(("Plug", "5"), "hours"), columns.cell(("Plug",), "hours")) == ("5", "")


@pytest.mark.parametrize(
    ("typed", "hours"), [("205", 205.0), ("205,5", 205.5), ("205.5 h", 205.5), ("205:30", 205.5)]
)
def test_hours_as_people_write_them(typed: str, hours: float) -> None:
    assert hours_typed(typed) == hours


@pytest.mark.parametrize("typed", ["", "205:60", "many", "1,250"])
def test_what_is_no_number_of_hours(typed: str) -> None:
    with pytest.raises(FormatError):
        hours_typed(typed)


def test_a_table_is_known_by_its_first_row() -> None:
    one, same, other = (
        read_pasted_rows(text, most_rows=9)
        for text in ("Task\th\na\t1", "TASK\tH\nb\t2", "Task\tHours\na\t1")
    )
    assert fingerprint_of(one) == fingerprint_of(same) != fingerprint_of(other)
