"""Numbers as they are typed at a step: fractions, marks and units, and a question with buttons where it takes one."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.sheets import shipped_sheets
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TypedReading
from tickover.workshop.readings.judging import judge, parse
from tickover.workshop.visits import actions
from tickover.workshop.visits.models import Reading

SHEET = shipped_sheets()["velisk-185"]
RUNNING = "cht"


def site(limit_id: str, **change: Any) -> MeasurementContext:
    return MeasurementContext(SHEET.limit(limit_id).model_copy(update=change), SHEET.geometry)


def button(page: str, name: str, value: str) -> str:
    """The words on the button that answers with this value; "" where there is none."""
    found = re.search(
        rf'<button class="[^"]*" name="{name}" value="{re.escape(value)}">([^<]*)</button>', page
    )
    return found[1] if found else ""


@pytest.mark.parametrize("typed", ["1 1/8", "1⅛", "1,125", "1.125", "1 1/8 turns"])
def test_turns_of_a_needle_are_read(typed: str) -> None:
    where = site("needle-high")
    assert [t.value for t in parse(TypedReading.of(typed), where)] == [1.125]


def test_a_mark_is_asked_about_where_both_readings_can_be() -> None:
    where = site("needle-high", plausible_upper=5000.0)
    with pytest.raises(NumberError) as caught:
        parse(TypedReading.of("1,125"), where)
    assert [c.text for c in caught.value.choices] == ["1125", "1.125"] and caught.value.field == "typed"


def test_the_field_of_a_computed_reading_is_named_with_the_question() -> None:
    with pytest.raises(NumberError) as caught:
        parse(TypedReading({"of-start": "0.5", "of-end": "0.5", "of-minutes": "1,000"}), site("inlet-hold"))
    assert caught.value.field == "of-minutes" and len(caught.value.choices) == 2


@pytest.mark.parametrize(("typed", "asked"), [("300", False), ("300.1", True), ("365", True)])
def test_a_head_in_the_other_unit_is_asked_about(typed: str, asked: bool) -> None:
    """365 deg F is 185 deg C."""
    if not asked:
        assert parse(TypedReading.of(typed), site("cht"))[0].value == float(typed)
        return
    with pytest.raises(ImplausibleNumber) as caught:
        parse(TypedReading.of(typed), site("cht"))
    assert caught.value.choices[0].text == f"{typed} deg F"


# Implausible: the number itself, and what comes out of several


@pytest.mark.parametrize(
    ("typed", "taken"), [("0", True), ("-0.001", False), ("4", True), ("4.001", False), ("0.0001", True)]
)
def test_both_sides_of_what_is_plausible_as_typed(typed: str, taken: bool) -> None:
    where = site("lever-height")
    if taken:
        assert parse(TypedReading.of(typed), where)[0].value == float(typed)
        return
    with pytest.raises(ImplausibleNumber):
        parse(TypedReading.of(typed), where)
    assert parse(TypedReading.of(typed, confirmed=True), where)[0].value == float(typed)


@pytest.mark.parametrize(
    ("value", "taken"),
    [(5.0, True), (5.02999, True), (5.03001, False), (0.0, True), (-0.02999, True), (-0.03001, False)],
)
def test_a_result_is_implausible_from_three_standard_uncertainties_on(value: float, taken: bool) -> None:
    """Plausible from 0 to 5 mm. The sheet's U is 0.02 mm (k = 2) without a step, so that u is 0.01 mm."""
    where = site(
        "squish", plausible_lower=0.0, plausible_upper=5.0, expanded_uncertainty=0.02, resolution=1e-9
    )
    entry = TypedReading({"of-side-a": f"{value:.5f}", "of-side-b": f"{value:.5f}"})
    if taken:
        assert judge(parse(entry, where), where, None, confirmed=False).value == pytest.approx(value)
        return
    with pytest.raises(ImplausibleNumber):
        judge(parse(entry, where), where, None, confirmed=False)
    assert judge(parse(entry, where), where, None, confirmed=True).value == pytest.approx(value)


# On the page


@pytest.fixture
def at(
    sheet: Any, outer: Any, hands: Any, crew: Any, signed_in: Callable[..., Client]
) -> Callable[[str], Any]:
    """A technician at a step of a diaphragm service; what is posted comes back as the page.

    A step at which the engine runs comes after the others, which hold it.
    """
    job, client = hands.open(outer, "diaphragm-service"), signed_in(crew.technician)

    def step(step_id: str) -> Any:
        if step_id == RUNNING:
            hands.do_all(job, but=(RUNNING, "stop-by-switch"))
            client.post(f"/visits/{job.number}/steps/{RUNNING}/caution/")

        def post(**typed: Any) -> str:
            answer = client.post(f"/visits/{job.number}/steps/{step_id}/reading/", typed, follow=True)
            return " ".join(answer.content.decode().split())

        return post

    return step


def test_a_head_temperature_is_asked_with_a_button_that_answers(at: Any, verified: None) -> None:
    post = at(RUNNING)
    page = post(typed="365", unit="deg C", unit_for="")
    assert (
        not Reading.objects.filter(step_id=RUNNING).exists()
        and "Did you mean 365 °F (185 °C), or 36.5 °C?" in page
    )
    assert button(page, "typed", "365 deg F") == "365 °F (185 °C)"
    assert page.index("Save reading") < page.index('value="365 deg F"')  # Enter takes what is typed
    page = post(typed=["365", "365 deg F"], unit="deg C", unit_for="", **{"of-minutes": "3"})
    row = Reading.objects.get(step_id=RUNNING)
    assert (row.value, row.decision, row.typed_unit) == (185.0, "inside", "deg F")
    assert "365 °F = 185 °C" in page


def test_a_needle_in_eighths_on_the_page(at: Any, verified: None) -> None:
    post = at("needle-high")
    assert "1 1/8" in post(typed="1 1/8")
    assert Reading.objects.get().value == 1.125


def test_both_readings_are_buttons_on_the_page(
    sheet_with: Callable[..., None], outer: Any, hands: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    sheet_with("limits", "needle-high", plausible_upper=5000.0)
    job, client = hands.open(outer, "diaphragm-service"), signed_in(crew.technician)
    address = f"/visits/{job.number}/steps/needle-high/reading/"
    refused = client.post(address, {"typed": "1,125"})
    assert refused.status_code == 422
    page = refused.content.decode()
    assert button(page, "typed", "1125") == "1125" and button(page, "typed", "1.125") == "1.125"
    client.post(address, {"typed": ["1,125", "1.125"]})
    assert Reading.objects.get().value == 1.125


def test_the_second_person_is_asked_the_same_way(
    sheet_with: Callable[..., None],
    outer: Any,
    hands: Any,
    crew: Any,
    now: datetime,
    signed_in: Callable[..., Client],
) -> None:
    sheet_with("cards.steps", "cht", second_check=True)
    job = hands.open(outer, "diaphragm-service")
    hands.do_all(job, but=(RUNNING, "stop-by-switch"))
    hands.do(job, RUNNING, checked=False)
    client = signed_in(crew.inspector)
    posted = {"typed": "365", "unit": "deg C", "unit_for": ""}
    page = client.post(f"/visits/{job.number}/steps/cht/second-check/", posted).content.decode()
    assert button(page, "typed", "365 deg F") == "365 °F (185 °C)"
    assert actions.second_check(job, "cht", who=crew.inspector, at=now, typed="365 deg F; 3") is not None
