"""The unit of a reading goes with its gauge and its limit, never with the person; a changed one is said in words."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest
from django.test import Client

from tickover.formats.text.number import NumberError
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.logbook import job_papers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import TypedReading
from tickover.workshop.visits.models import Reading

pytestmark = pytest.mark.usefixtures("verified")

STEP = "reseat"


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauges(by: dict[str, Any], now: datetime) -> None:
    """One gauge in bar, one in psi, one in kPa, all calibrated."""
    for number, unit, upper in (("PG-1", "bar", 2.0), ("PG-2", "psi", 30.0), ("PG-3", "kPa", 200.0)):
        new = NewInstrument(
            number, "pressure-gauge", "Gauge", unit, upper / 200, upper / 100, 0.0, 0.0, upper
        )
        row = instruments.add_instrument(new, **by)
        instruments.calibrate(row, NewCalibration(now.date(), "C-1", now.date() + timedelta(days=50)), **by)


@pytest.fixture
def job(sheet: Any, outer: Any, hands: Any, gauges: None) -> Any:
    return hands.open(outer, "diaphragm-service")


@pytest.fixture
def bench(job: Any, crew: Any, signed_in: Callable[..., Client]) -> Bench:
    return Bench(job, signed_in(crew.technician))


class Bench:
    """A browser without JavaScript at the step that reads where the needle closes again: at least 0.5 bar."""

    def __init__(self, job: Any, client: Client) -> None:
        self.address, self.client = f"/visits/{job.number}/steps/{STEP}/", client

    def page(self) -> str:
        return self.client.get(self.address).content.decode()

    def post(self, **typed: str) -> str:
        answer = self.client.post(f"{self.address}reading/", typed, follow=True)
        return " ".join(answer.content.decode().split())


def chosen(page: str, select: str) -> str:
    """The value that a select shows."""
    inside = page.partition(f'<select id="{select}"')[2].partition("</select>")[0]
    found = re.search(r'value="([^"]*)"[^>]* selected', inside)
    return found[1] if found else ""


def test_a_unit_never_carries_over_to_another_reading(bench: Bench, job: Any, by: dict[str, Any]) -> None:
    """After one reading in psi, 0,5 on the bar gauge is 0.5 bar."""
    first = TypedReading({"typed": "8"}, unit="psi", instrument="PG-2", unit_for="PG-2")
    actions.take_reading(job, STEP, first, **by)
    assert Reading.objects.get().value == pytest.approx(8 * 0.0689476, rel=1e-6)  # NIST SP 811: 1 psi
    actions.take_reading(job, STEP, TypedReading({"typed": "0.6"}, instrument="PG-1"), **by)
    page = bench.page()
    assert (chosen(page, "instrument"), chosen(page, "unit")) == ("PG-1", "bar")
    bench.post(typed="0,5", unit="bar", instrument="PG-1", unit_for="PG-1")
    assert Reading.objects.latest("id").value == 0.5


@pytest.mark.parametrize(("number", "unit"), [("PG-1", "bar"), ("PG-2", "psi"), ("PG-3", "kPa")])
def test_the_gauges_own_unit_is_on_the_form(
    bench: Bench, job: Any, by: dict[str, Any], number: str, unit: str
) -> None:
    actions.take_reading(job, STEP, TypedReading({"typed": "0.6"}, instrument=number), **by)
    page = bench.page()
    assert (chosen(page, "instrument"), chosen(page, "unit")) == (number, unit)
    assert f'<option value="{number}" data-unit="{unit}"' in page


def test_without_a_gauge_it_is_the_limits_unit(bench: Bench, job: Any, by: dict[str, Any]) -> None:
    actions.take_reading(job, STEP, TypedReading({"typed": "8"}, unit="psi"), **by)
    assert chosen(bench.page(), "unit") == "bar"


def test_a_gauge_is_read_in_its_own_unit(bench: Bench) -> None:
    page = bench.post(typed="60", unit="kPa", instrument="PG-3", unit_for="PG-3")
    row = Reading.objects.get()
    assert (row.value, row.unit, row.typed_unit) == (0.6, "bar", "kPa")
    assert "60 kPa = 0.6 bar" in page


def test_a_unit_left_on_from_another_gauge_is_asked_about(bench: Bench) -> None:
    """The page came with no gauge and bar; PG-2, in psi, was named and the unit stayed."""
    page = bench.post(typed="0.5", unit="bar", instrument="PG-2", unit_for="")
    assert not Reading.objects.exists()
    assert "Gauge, PG-2 reads in psi, but the unit left on is bar." in page
    for unit, words in (("psi", "0.5 psi = 0.034 bar"), ("bar", "0.5 bar")):
        assert re.search(f'<button class="large[^"]*" name="unit" value="{unit}">{words}</button>', page)
    assert chosen(page, "unit") == "psi" and 'name="unit_for" value="PG-2"' in page


@pytest.mark.parametrize(("unit", "value"), [("psi", 0.0344738), ("bar", 0.5)])
def test_the_button_that_answers_is_the_whole_answer(bench: Bench, unit: str, value: float) -> None:
    """The select comes first in the form and the button after it, so that the button's value counts."""
    data = {"typed": "0.5", "unit": ["psi", unit], "instrument": "PG-2", "unit_for": "PG-2"}
    bench.client.post(f"{bench.address}reading/", data)
    row = Reading.objects.get()
    assert row.value == pytest.approx(value, rel=1e-6) and row.typed_unit == unit


def test_a_unit_behind_the_number_needs_no_question(bench: Bench) -> None:
    bench.post(typed="9 psi", unit="bar", instrument="PG-2", unit_for="")
    assert Reading.objects.get().typed_unit == "psi"


def test_taking_the_gauge_away_is_asked_about_too(job: Any, by: dict[str, Any]) -> None:
    entry = TypedReading({"typed": "8"}, unit="psi", instrument="", unit_for="PG-2")
    with pytest.raises(NumberError, match=r"The limit is in bar, but the unit left on is psi") as caught:
        actions.take_reading(job, STEP, entry, **by)
    assert [c.text for c in caught.value.choices] == ["bar", "psi"] and caught.value.field == "unit"


def test_a_changed_unit_is_said_beside_the_number_and_on_the_result(bench: Bench, job: Any) -> None:
    refused = bench.post(typed="0.5", unit="psi", instrument="PG-1", unit_for="PG-1", confirmed="")
    assert "0.5 psi = 0.034 bar" in refused  # on the result: it is a reading, and outside
    page = bench.post(typed="99", unit="psi", instrument="PG-1", unit_for="PG-1")
    assert "<strong>99 psi = 6.83 bar.</strong>" in page.partition('id="in-words"')[2]
    page = bench.post(typed="fast", unit="psi", instrument="PG-1", unit_for="PG-1")
    assert "<strong>Typed in psi, not bar.</strong>" in page
    text = _words(job_papers.work_card(queries.job_sheet(job)))
    assert "Typed 0.5 psi = 0.034 bar." in text


def test_several_numbers_are_each_said_in_both_units(job: Any, by: dict[str, Any]) -> None:
    entry = TypedReading(
        {f"typed_{n}": text for n, text in ((1, "14"), (2, "14.5"), (3, "1 bar"))}, unit="psi"
    )
    actions.take_reading(job, "pop-off", entry, **by)
    line = queries.job_sheet(job).step("pop-off").reading
    assert line is not None
    assert line.in_both_units == "14 psi = 0.965 bar; 14.5 psi = 0.9997 bar"


def test_a_unit_of_something_else_is_refused(job: Any, by: dict[str, Any]) -> None:
    entry = TypedReading({"typed": "0.6"}, unit="mm", instrument="PG-3", unit_for="PG-3")
    with pytest.raises(NumberError, match=r'"mm" is not a unit it is read in. Choose bar or psi or kPa'):
        actions.take_reading(job, STEP, entry, **by)


def _words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())
