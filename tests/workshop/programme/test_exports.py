"""The engines list as a file: the same engines in the same order as the page, safe in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from tickover.formats import spreadsheet
from tickover.workshop.register import actions as register

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def fleet(outer: Any, inner: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 20.0, date(2025, 1, 1))
    hours(inner, 130.0, date(2025, 1, 1))


@pytest.fixture
def technician(fleet: None, crew: Any, signed_in: Callable[..., Client]) -> Client:
    return signed_in(crew.technician)


def rows(client: Client, query: str = "") -> list[dict[str, str]]:
    answer = client.get(f"/engines.csv{query}")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))


def names(client: Client, query: str = "") -> list[str]:
    return [row["name"] for row in rows(client, query)]


def test_a_row_says_what_the_page_says(technician: Client) -> None:
    row = next(row for row in rows(technician) if row["name"] == "Inner")
    assert (row["serial"], row["owner"], row["engine_time_h"]) == ("1600", "Owner of Inner", "130.0")
    assert row["next_task"] and row["state"] and row["words"] in technician.get("/engines/").content.decode()


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?sort=name", ["Inner", "Outer"]),
        ("?sort=hours", ["Inner", "Outer"]),
        ("?q=outer", ["Outer"]),
        ("?q=owner+of+inner", ["Inner"]),
        ("?q=zzz", []),
    ],
)
def test_it_is_filtered_and_sorted_as_the_page(technician: Client, query: str, found: list[str]) -> None:
    assert names(technician, query) == found
    data = json.loads(technician.get(f"/engines.json{query}").content)
    assert [engine["name"] for engine in data["engines"]] == found
    page = technician.get(f"/engines/{query}").content.decode()
    places = [page.index(f">{name}</a></h2>") for name in found]
    assert places == sorted(places)


def test_an_order_nobody_knows_is_the_most_urgent_first(technician: Client) -> None:
    assert names(technician, "?sort=colour") == names(technician) == names(technician, "?sort=due")


def test_the_page_links_to_the_same_list_as_a_file(technician: Client) -> None:
    page = technician.get("/engines/?q=out&sort=name").content.decode()
    assert "/engines.csv?q=out&amp;sort=name" in page and "/engines.json?q=out&amp;sort=name" in page


# The characters are those of the OWASP page "CSV Injection" (from memory).
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\uff1d"])
def test_no_cell_is_run_by_a_spreadsheet(start: str) -> None:
    text = f"{start}cmd|' /C calc'!A0"
    assert spreadsheet.safe_cell(text) == f"'{text}"


@pytest.mark.parametrize("value", ["Tern 1", "a=b", "", 3.5, -3.5, None])
def test_other_cells_stay_as_they_are(value: Any) -> None:
    assert spreadsheet.safe_cell(value) == ("" if value is None else value)


def test_a_name_that_looks_like_a_formula_is_text_in_csv_and_itself_in_json(
    technician: Client, sheet: Any, crew: Any, now: datetime
) -> None:
    name = '=HYPERLINK("http://elsewhere.example","ok")'
    owner = register.add_owner('@home, "and" away', who=crew.manager, at=now)
    new = register.NewEngine(name, "1777", sheet.sheet_id, "internal-pulse", date(2025, 1, 1))
    register.add_engine(new, owner, who=crew.manager, at=now)
    row = next(row for row in rows(technician) if row["serial"] == "1777")
    assert (row["name"], row["owner"]) == (f"'{name}", '\'@home, "and" away')
    data = json.loads(technician.get("/engines.json?q=1777").content)
    assert data["engines"][0]["name"] == name
