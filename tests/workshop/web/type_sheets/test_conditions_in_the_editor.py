"""Conditions of a test in the form of a limit: shown as lines, changed, taken out, and refused beside their field."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats.text.number import NumberError
from tickover.sheets import Condition, sheet_data
from tickover.workshop.knowledge.condition_lines import condition_in_words, read_condition
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.web.type_sheets.row_form import RowForm

LIMITS = "/type-sheets/velisk-185/change/limits"
ENDS = st.one_of(st.none(), st.integers(-1_000_000, 1_000_000).map(lambda n: n / 1000.0))


@pytest.fixture
def inspector(signed_in: Callable[..., Client], crew: Any, sheet: Any) -> Client:
    return signed_in(crew.inspector)


def change(client: Client, limit_id: str, **typed: Any) -> Any:
    context = client.get(f"{LIMITS}/{limit_id}/").context
    form: RowForm = context["form"]
    values = {field.html_name: field.value() for field in form}
    sent = {name: value for name, value in values.items() if value not in (None, "", False)}
    return client.post(f"{LIMITS}/{limit_id}/", {"mark": context["mark"], **sent} | typed)


def conditions_of(limit_id: str) -> Any:
    data = sheet_data(SheetDraft.objects.get().text)
    return next(row for row in data["limits"] if row["id"] == limit_id).get("conditions", [])


def test_the_form_shows_them_as_lines(inspector: Client) -> None:
    page = inspector.get(f"{LIMITS}/inlet-hold/").content.decode()
    assert "start: 0.5\nminutes: 1 to 1.5" in page and "Conditions of the test" in page
    page = inspector.get(f"{LIMITS}/reseat/").content.decode()
    assert "seconds: at least 30 (Time at rest before reading)" in page


@pytest.mark.parametrize(
    ("limit_id", "typed", "kept"),
    [
        ("reseat", "seconds: at least 45", [{"of": "seconds", "lower": 45.0}]),
        ("reseat", "Minutes: 1,5 to 2 (Wait)", [{"of": "minutes", "title": "Wait", "lower": 1.5, "upper": 2.0}]),
        ("reseat", "", []),
        ("plug-gap", "minutes:at most 5", [{"of": "minutes", "upper": 5.0}]),
        ("inlet-hold", "start: 0.4\nminutes: 1 to 2", [
            {"of": "start", "lower": 0.4, "upper": 0.4}, {"of": "minutes", "lower": 1.0, "upper": 2.0},
        ]),
    ],
)  # fmt: skip
def test_they_are_changed_added_and_taken_out(
    inspector: Client, limit_id: str, typed: str, kept: list[Any]
) -> None:
    answer = change(inspector, limit_id, conditions=typed)
    assert answer.status_code == 302
    assert conditions_of(limit_id) == kept


def test_the_difference_says_the_time_and_not_its_label_alone(inspector: Client) -> None:
    change(inspector, "reseat", conditions="seconds: at least 10 (Time at rest before reading)")
    page = inspector.get("/type-sheets/velisk-185/draft/").content.decode()
    assert "seconds: at least 30" in page and "seconds: at least 10" in page


@pytest.mark.parametrize(
    ("limit_id", "typed", "says"),
    [
        ("reseat", "wait 30", "is no condition. Write it as: minutes: at least 3"),
        ("reseat", "seconds: at least", "is not a number"),
        ("reseat", "seconds: thirty", "is not a number"),
        ("reseat", "seconds: 1,234", "1.234"),
        ("reseat", "seconds: 40 to 30", "are they swapped?"),
        ("reseat", "start: 0.7", "no number"),
        ("inlet-hold", "seconds: 60", "no number"),
        ("reseat", "seconds: at least 30\nseconds: at most 60", "two conditions"),
    ],
)
def test_a_line_that_cannot_be_is_refused_beside_its_field(
    inspector: Client, limit_id: str, typed: str, says: str
) -> None:
    answer = change(inspector, limit_id, conditions=typed)
    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors["conditions"])
    assert not SheetDraft.objects.exists()


@given(
    st.sampled_from(["minutes", "start-temperature"]), ENDS, ENDS, st.sampled_from(["", "Time at rest, s"])
)
def test_a_line_says_the_condition_it_came_from(
    of: str, lower: float | None, upper: float | None, title: str
) -> None:
    ends = [x for x in (lower, upper) if x is not None]
    if not ends or ends != sorted(ends):
        return
    row = {"of": of, "title": title, "lower": lower, "upper": upper}
    assert Condition(**read_condition(condition_in_words(row))) == Condition(**row)


@pytest.mark.parametrize("line", ["", "minutes", "minutes:", ": 3", "minutes: at least 3 (a) (b)"])
def test_what_is_no_line_of_a_condition_is_refused(line: str) -> None:
    with pytest.raises(NumberError, match="is no condition"):
        read_condition(line)
