"""Pages of the sums: for whom each opens, what stands in the address, what is known of an engine."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.calculations.catalogue import SUMS
from tickover.workshop.web.calculations import urls

pytestmark = pytest.mark.usefixtures("verified")

LOOKS = {
    "sums": "/calculations/",
    "sum": "/calculations/air-density/",
    "sum-json": "/calculations/air-density.json",
}


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any, sheet: Any) -> Client:
    return signed_in(crew.technician)


def test_these_tests_know_every_address() -> None:
    assert {pattern.name for pattern in urls.urlpatterns} == LOOKS.keys()


@pytest.mark.parametrize("name", LOOKS)
def test_it_opens_to_who_is_signed_in_and_only_for_looking(
    name: str, technician: Client, client: Client
) -> None:
    assert technician.get(LOOKS[name]).status_code == 200
    assert technician.post(LOOKS[name]).status_code == 405
    stranger = client.get(LOOKS[name])
    assert stranger.status_code == 302 and stranger["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("sum_id", SUMS)
def test_each_sum_has_a_page_with_its_answer_and_its_working(technician: Client, sum_id: str) -> None:
    answer = technician.get(f"/calculations/{sum_id}/")
    page = answer.content.decode()
    assert answer.status_code == 200 and page.count("<h1") == 1
    assert 'class="answer"' in page and "Show the working" in page and SUMS[sum_id].python in page
    assert "style=" not in page and "{{" not in page


@pytest.mark.parametrize("sum_id", SUMS)
def test_bad_values_are_422_with_a_message_on_page_and_data(technician: Client, sum_id: str) -> None:
    for typed in ("", "NaN", "hot", "-1e400", "999999999999", "<script>"):
        given = {field.name: typed for field in SUMS[sum_id].fields}
        page = technician.get(f"/calculations/{sum_id}/", given)
        assert page.status_code == 422 and 'role="alert"' in page.content.decode()
        assert "<script>" not in page.content.decode().partition("<main")[2]
        data = technician.get(f"/calculations/{sum_id}.json", given)
        assert data.status_code == 422 and data.json()["refused"] and data.json()["answer"] == []


def test_the_values_stand_in_the_address(technician: Client) -> None:
    page = technician.get(
        "/calculations/air-density/?temperature=86&temperature.unit=deg+F&pressure=1000"
    ).content.decode()
    assert 'value="86"' in page and '<option value="deg F" selected>' in page and 'value="1000"' in page
    data = technician.get("/calculations/air-density.json?temperature=30&humidity=0&pressure=1000").json()
    # Ideal dry air, p/(R T): 100000/(287.05 · 303.15) = 1.1492 kg/m3.
    assert data["results"][0]["value"] == pytest.approx(1.149, abs=0.002)
    assert data["results"][0]["lower"] < data["results"][0]["value"] < data["results"][0]["upper"]


def test_a_number_in_two_ways_is_asked_with_two_buttons(technician: Client) -> None:
    """Without JavaScript: the button comes after its field, so its value is the one that counts."""
    page = technician.get("/calculations/oil-mix/?petrol=1,250").content.decode()
    for text in ("1250 l", "1.250 l"):
        assert f'<button name="petrol" value="{text}">{text}</button>' in page
    assert page.index('<button class="unseen"') < page.index('<button name="petrol"')
    answer = technician.get("/calculations/oil-mix/?petrol=1,250&ratio=50&petrol=1.250+l")
    assert answer.status_code == 200 and 'name="petrol" value="1.250 l"' in answer.content.decode()


def test_a_unit_left_on_is_asked_for_with_a_button(technician: Client) -> None:
    page = technician.get("/calculations/air-density/?temperature=86&temperature.unit=deg+C").content.decode()
    assert '<button name="temperature" value="86 deg F">86 °F (30 °C)</button>' in page


def test_the_command_says_the_same_as_the_page(technician: Client) -> None:
    page = technician.get("/calculations/compression/?exhaust-opens=&bore=60").content.decode()
    command = page.partition("<dt>Command</dt>")[2].partition("</code>")[0]
    assert "exhaust-opens=" in command and "exhaust-opens=92" not in command and "bore=60 mm" in command
    page = technician.get("/calculations/belt-tension/?span.give-or-take=2").content.decode()
    command = page.partition("<dt>Command</dt>")[2].partition("</code>")[0]
    assert "span.give-or-take=2" in command and "frequency.give-or-take" not in command


def test_it_is_filled_in_from_the_engines_sheet(technician: Client, outer: Any) -> None:
    page = technician.get(f"/calculations/compression/?engine={outer.serial}").content.decode()
    assert "from the type sheet" in page and f'<option value="{outer.serial}" selected>' in page
    geometry = _geometry(outer)
    assert f'name="bore" value="{geometry.bore_mm:g}"' in page
    typed_over = technician.get(f"/calculations/compression/?engine={outer.serial}&bore=70").content.decode()
    assert 'name="bore" value="70"' in typed_over


@pytest.mark.parametrize("sum_id", SUMS)
def test_every_sum_opens_filled_in_from_an_engine(technician: Client, outer: Any, sum_id: str) -> None:
    assert technician.get(f"/calculations/{sum_id}/", {"engine": outer.serial}).status_code == 200


def test_the_newest_reading_outranks_the_sheet(outer: Any) -> None:
    from types import SimpleNamespace

    from tickover.workshop.calculations import queries

    field = SUMS["metering-lever"].field("height")
    sheet = _build(outer)
    limit = next(row for row in sheet.limits if row.id in ("lever-height", "lever-height-flush"))
    reading = SimpleNamespace(value=limit.nominal - 0.1, unit=limit.unit, limit_id=limit.id)
    assert field is not None and queries._by_reading(field, reading, sheet) == "-0.1"  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "address", ["/calculations/none/", "/calculations/none.json", "/calculations/compression/?engine=none"]
)
def test_what_is_not_there_is_404(technician: Client, address: str) -> None:
    assert technician.get(address).status_code == 404


def test_the_list_names_every_sum(technician: Client) -> None:
    page = technician.get("/calculations/").content.decode()
    assert all(f'href="/calculations/{sum_id}/"' in page for sum_id in SUMS)


def _build(engine: Any) -> Any:
    from tickover.workshop.register import queries

    return queries.build_of(engine)


def _geometry(engine: Any) -> Any:
    return _build(engine).geometry
