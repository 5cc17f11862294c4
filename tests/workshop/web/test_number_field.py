"""The one field for a typed number: comma or point, whole or not, from the least to the most that it may be."""

from __future__ import annotations

from typing import Any

import pytest
from django import forms

from tickover.workshop.web.programme.forms import BulletinForm
from tickover.workshop.web.type_sheets.row_form import NumberField as RowNumberField
from tickover.workshop.web.typed_fields import NumberField, NumberRefusedError


@pytest.mark.parametrize(
    ("field", "typed", "read"),
    [
        ({}, "12,5", 12.5),
        ({}, " ", None),
        ({"unit": "h"}, "10 h", 10.0),
        ({"whole": True}, "12", 12),
        ({"least": 0.1}, "0.1", 0.1),
        ({"least": 0}, "0", 0.0),
        ({"most": 600, "whole": True}, "600", 600),
        ({"ratio": True}, "50:1", 50.0),
    ],
)
def test_what_may_be_typed(field: dict[str, Any], typed: str, read: float | None) -> None:
    found = NumberField(required=False, **field).clean(typed)
    assert found == read and type(found) is type(read)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ({"whole": True}, "12.5", "12.5 is no whole number"),
        ({"least": 0.1}, "0.099", "must be 0.1 or more"),
        ({"least": 0}, "-1", "must be 0 or more"),
        ({"most": 600}, "600.5", "must be 600 or less"),
    ],
)
def test_what_is_refused_says_the_bound(field: dict[str, Any], typed: str, said: str) -> None:
    with pytest.raises(forms.ValidationError, match=said):
        NumberField(label="Months", **field).clean(typed)


def test_two_readings_of_one_number_are_both_offered() -> None:
    with pytest.raises(NumberRefusedError) as refused:
        NumberField(label="Hours").clean("1,234")
    assert len(refused.value.choices) == 2


def test_bulletins_and_type_sheets_have_the_same_field() -> None:
    assert RowNumberField is NumberField
    kinds = {name: type(field) for name, field in BulletinForm.base_fields.items()}
    numbers = ("serial_from", "serial_to", "within_h", "every_h", "every_months")
    assert {kinds[name] for name in numbers} == {NumberField}
