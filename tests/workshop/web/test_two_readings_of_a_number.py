"""A number with two readings: every form that asks for it offers both as buttons, and Enter sends what is typed."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tickover.workshop.instruments.models import Instrument
from tickover.workshop.register.models import MeterReading
from tickover.workshop.web.defects import forms as defect_forms
from tickover.workshop.web.engines import forms as engine_forms
from tickover.workshop.web.instruments import forms as instrument_forms
from tickover.workshop.web.programme import forms as programme_forms
from tickover.workshop.web.run_ups import forms as run_up_forms
from tickover.workshop.web.typed_fields import NumberField, NumberRefusedError
from tickover.workshop.web.weeks import forms as weeks_forms

MODULES = (defect_forms, engine_forms, instrument_forms, programme_forms, run_up_forms, weeks_forms)


def number_fields() -> Iterator[Any]:
    for module in MODULES:
        for name, form in vars(module).items():
            if isinstance(form, type) and issubclass(form, forms.Form):
                for key, field in form.base_fields.items():
                    if isinstance(field, NumberField):
                        yield pytest.param(field, id=f"{name}.{key}")


def buttons(page: str, name: str) -> dict[str, str]:
    """The buttons of a field: what each says, and what it sends."""
    found = re.findall(rf'<button name="{name}" value="([^"]*)">([^<]*)</button>', page)
    return {words.strip(): html.unescape(value) for value, words in found}


@pytest.mark.parametrize("field", [*number_fields()])
def test_every_number_of_a_form_offers_both_readings(field: NumberField) -> None:
    with pytest.raises(NumberRefusedError) as refused:
        field.clean("1,234")
    assert [c.text for c in refused.value.choices] == ["1234", "1.234"]
    assert "can mean 1234 or 1.234" in str(refused.value)


def test_there_are_such_numbers_in_every_module() -> None:
    modules = {type(p.values[0]).__module__ for p in number_fields()}
    assert modules == {NumberField.__module__} and len(list(number_fields())) > 20


@pytest.fixture
def page(signed_in: Callable[..., Client], crew: Any, outer: Any) -> Client:
    return signed_in(crew.technician)


METER = {"value_h": "1,234", "read_at": "2025-05-02T09:00", "meter": "Hobbs-like 7", "remark": ""}


def test_a_meter_reading_is_asked_with_two_buttons_and_taken_by_one(page: Client, verified: None) -> None:
    answer = page.post("/engines/1200/meter/", METER)
    assert answer.status_code == 422 and not MeterReading.objects.exists()
    asked = answer.content.decode()
    assert buttons(asked, "value_h") == {"1234": "1234", "1.234": "1.234"}
    form = next(
        f for f in re.findall(r"<form.*?</form>", asked, re.DOTALL) if 'name="value_h" value="1234"' in f
    )
    # The first button of the form is the one that Enter presses: it sends what is typed and chooses nothing.
    assert re.search(r"<button[^>]*>", form[form.index("<input") :])[0].startswith('<button class="unseen"')
    assert form.index('<input type="text" name="value_h"') < form.index('<button name="value_h"')
    assert page.post("/engines/1200/meter/", {**METER, "value_h": ["1,234", "1.234"]}).status_code == 302
    assert MeterReading.objects.get().value_h == 1.234


@pytest.mark.parametrize(
    ("address", "typed", "field"),
    [
        ("/engines/1200/hours/", {"grade": "logbook", "method": "book"}, "hours_h"),
        ("/engines/1200/fuel/", {"litres_per_hour": "9"}, "litres"),
        ("/engines/1200/components/new/", {"kind": "propeller", "title": "P", "serial": "9"}, "initial_h"),
        ("/instruments/new/", {"number": "DG-1", "unit": "mm", "resolution": "0.01"}, "range_upper"),
    ],
)
def test_every_form_of_numbers_shows_them_beside_its_field(
    page: Client, signed_in: Callable[..., Client], crew: Any, address: str, typed: Any, field: str
) -> None:
    client = signed_in(crew.manager) if "instruments" in address else page
    answer = client.post(address, {**typed, field: "1,234"})
    assert answer.status_code == 422
    assert buttons(answer.content.decode(), field) == {"1234": "1234", "1.234": "1.234"}
    assert not Instrument.objects.exists()


def test_the_hand_in_of_a_run_up_offers_them(page: Client) -> None:
    sent = {"file": SimpleUploadedFile("run.csv", b"t,rpm\n0,2000\n"), "pressure_hpa": "1,013"}
    answer = page.post("/engines/1200/runs/new/", sent)
    assert answer.status_code == 422
    assert buttons(answer.content.decode(), "pressure_hpa") == {"1013": "1013", "1.013": "1.013"}


def test_a_number_of_a_type_sheet_offers_them() -> None:
    with pytest.raises(NumberRefusedError) as refused:
        NumberField(label="Upper limit").clean("1,234")
    assert [c.text for c in refused.value.choices] == ["1234", "1.234"]


def test_a_line_of_conditions_offers_the_whole_text_with_the_number_meant(
    signed_in: Callable[..., Client], crew: Any, sheet: Any
) -> None:
    client = signed_in(crew.inspector)
    address = "/type-sheets/velisk-185/change/limits/inlet-hold/"
    context = client.get(address).context
    values = {f.html_name: f.value() for f in context["form"]}
    sent = {name: value for name, value in values.items() if value not in (None, "", False)}
    sent |= {"mark": context["mark"], "conditions": "start: 0.5\nminutes: at most 1,234"}
    page = client.post(address, sent).content.decode()
    assert buttons(page, "conditions") == {
        "1234": "start: 0.5\nminutes: at most 1234",
        "1.234": "start: 0.5\nminutes: at most 1.234",
    }


def test_the_give_or_take_of_a_calculation_is_not_taken_for_its_number(page: Client) -> None:
    """Its buttons once sent their number as the figure itself."""
    asked = page.get(
        "/calculations/oil-mix/", {"petrol": "10", "petrol.give-or-take": "1,234"}
    ).content.decode()
    assert buttons(asked, "petrol.give-or-take") == {"1234": "1234", "1.234": "1.234"}
    assert not buttons(asked, "petrol")


def test_a_figure_in_a_row_is_chosen_within_all_rows(page: Client) -> None:
    asked = page.get("/calculations/static-balance/", {"masses": "4 500 0\n2.5 1,234 −10"}).content.decode()
    assert buttons(asked, "masses") == {
        "1234": "4 500 0\n2.5 1234 −10",
        "1.234": "4 500 0\n2.5 1.234 −10",
    }
