"""Rows of a table of services, sorted in to the tasks they mean."""

from __future__ import annotations

from typing import Any

import pytest

from tickover.formats.typed_table.columns import ColumnGuess, guess_columns
from tickover.formats.typed_table.reading import read_pasted_rows
from tickover.sheets import load_sheet, shipped_texts
from tickover.workshop.takeover import remembering
from tickover.workshop.takeover.sorting_in import WORDS, SortedIn, sort_in, task_meant

TASKS = load_sheet(shipped_texts()["velisk-185.toml"], "velisk-185").for_build("external-pulse").programme


def sorted_in(text: str, **named: str) -> SortedIn:
    table = read_pasted_rows(text, most_rows=100)
    return sort_in(
        table, guess_columns(table, WORDS), TASKS, {k.removeprefix("line"): v for k, v in named.items()}
    )


@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.id)
def test_each_task_is_known_by_its_own_title_and_name(task: Any) -> None:
    assert task_meant(task.title, TASKS) == task.id
    assert task_meant(f"  {task.title.upper()} ", TASKS) == task.id
    assert task_meant(task.id, TASKS) == task.id


@pytest.mark.parametrize(
    ("said", "task_id"),
    [
        ("spark plug renewed", "plug-renewal"),
        ("Carburetor diaphragm service", "carburettor-diaphragm"),
        ("renewal of the spark plug", "plug-renewal"),
        ("gearbox oil", "gearbox-oil"),
        ("washed the car", None),
        ("Propeller", None),
        ("renewed", None),
        ("", None),
    ],
)
def test_words_near_a_title_mean_it_and_doubtful_ones_mean_none(said: str, task_id: str | None) -> None:
    found = task_meant(said, TASKS)
    assert found == ("diaphragm-service" if task_id == "carburettor-diaphragm" else task_id)


def test_of_several_times_the_latest_counts() -> None:
    found = sorted_in(
        "Task\tHours\tDate\nSpark plug renewal\t180\t2023-05-04\nSpark plug renewal\t205,5\t2024-06-01\n"
        "Spark plug renewal\t100\t2022-05-04"
    )
    assert {name: (s.hours, s.on) for name, s in found.found.items()} == {
        "plug-renewal": ("205,5", "2024-06-01")
    }
    assert found.older == 2


def test_a_row_that_fits_no_task_is_named_with_its_line_and_may_be_given_one() -> None:
    text = "Task\tHours\tDate\nwashed the car\t12\t2024-06-01\nNo hours here\t\t"
    found = sorted_in(text)
    assert [(s.line, s.said) for s in found.unknown] == [(2, "washed the car")] and not found.found
    assert set(sorted_in(text, line2="fins-clean").found) == {"fins-clean"}
    assert not sorted_in(text, line2="no such task").found


@pytest.mark.django_db
def test_columns_that_were_corrected_are_known_the_next_time() -> None:
    table = read_pasted_rows("Was\tStand\tWann\nSpark plug renewal\t205\t2024-06-01", most_rows=100)
    other = read_pasted_rows("Was\tStand\tWann\nReed petals renewed\t150\t2022-06-01", most_rows=100)
    corrected = ColumnGuess(True, {"task": 0, "hours": 1})
    assert remembering.columns_of(table, WORDS) != corrected
    remembering.remember(table, corrected)
    assert remembering.columns_of(other, WORDS) == corrected
    remembering.remember(other, ColumnGuess(True, {"task": 1}))
    assert remembering.columns_of(table, WORDS).places == {"task": 1}
    assert remembering.columns_of(table, {"serial": ("serial",)}).places == {}
