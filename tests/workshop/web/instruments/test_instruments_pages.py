"""Pages of the instrument register: for whom each opens, by which method, and what they write."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client

from tickover.workshop.instruments import queries
from tickover.workshop.instruments.actions import NewInstrument, add_instrument
from tickover.workshop.instruments.models import Calibration, Instrument
from tickover.workshop.kernel.models import Entry
from tickover.workshop.web.instruments import urls

pytestmark = pytest.mark.usefixtures("verified")

LOOKS = {
    "instruments": "/instruments/",
    "instruments-csv": "/instruments.csv",
    "add": "/instruments/new/",
    "instrument": "/instruments/DG-1/",
}
WRITES = {
    "calibrate": "/instruments/DG-1/calibration/",
    "withdraw": "/instruments/DG-1/withdraw/",
    "take-back": "/instruments/DG-1/take-back/",
    "move": "/instruments/DG-1/move/",
}
NEW = {
    "number": "PG 2",
    "kind": "pressure-gauge",
    "title": "Gauge",
    "unit": "bar",
    "range_lower": "0",
    "range_upper": "2,5",
    "resolution": "0,02",
    "expanded_uncertainty": "0.03",
}
CERTIFICATE = {"on_day": "2025-05-01", "due_on": "2026-05-01", "certificate": "C-77"}


@pytest.fixture
def gauge(crew: Any, now: Any, shop: Any) -> Instrument:
    new = NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02)
    return add_instrument(new, who=crew.technician, at=now)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def test_these_tests_know_every_address() -> None:
    assert {pattern.name for pattern in urls.urlpatterns} == LOOKS.keys() | WRITES.keys()


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician(gauge: Instrument, technician: Client, name: str) -> None:
    answer = technician.get(LOOKS[name])
    assert answer.status_code == 200
    if name == "instruments-csv":
        assert answer.content.decode().splitlines()[1].startswith("DG-1,depth-gauge")
    else:
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_a_stranger_is_led_to_sign_in_and_writes_nothing(
    gauge: Instrument, client: Client, name: str
) -> None:
    before = Entry.objects.count()
    answer = client.get(LOOKS[name]) if name in LOOKS else client.post(WRITES[name], {"reason": "x"})
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", WRITES)
def test_a_form_is_not_read_as_a_page(gauge: Instrument, technician: Client, name: str) -> None:
    assert technician.get(WRITES[name]).status_code == 405


@pytest.mark.parametrize(
    "address", ["/instruments/none/", *(a.replace("DG-1", "none") for a in WRITES.values())]
)
def test_what_is_not_there_is_404(gauge: Instrument, technician: Client, address: str) -> None:
    ask = technician.post if address.count("/") > 3 else technician.get
    assert ask(address).status_code == 404


def test_an_instrument_is_added_and_calibrated(technician: Client, shop: Any) -> None:
    answer = technician.post("/instruments/new/", NEW)
    assert answer["Location"] == "/instruments/PG%202/"
    row = Instrument.objects.get(number="PG 2")
    assert (row.range_upper, row.resolution, row.percent) == (2.5, 0.02, 0.0)
    technician.post("/instruments/PG 2/calibration/", CERTIFICATE)
    assert Calibration.objects.get().certificate == "C-77"
    assert "C-77" in technician.get("/instruments/PG 2/").content.decode()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"resolution": "fine"}, "is not a number"),
        ({"resolution": "0"}, "must be above 0"),
        ({"kind": "eye"}, "Select a valid choice"),
        ({"number": ""}, "required"),
    ],
)
def test_a_form_that_is_refused_says_why_and_keeps_what_was_typed(
    technician: Client, shop: Any, change: dict[str, str], says: str
) -> None:
    answer = technician.post("/instruments/new/", NEW | change)
    page = answer.content.decode()
    assert answer.status_code == 422 and says in page and 'value="2,5"' in page
    assert not Instrument.objects.exists()


def test_a_calibration_that_is_refused_says_why(gauge: Instrument, technician: Client) -> None:
    answer = technician.post(WRITES["calibrate"], CERTIFICATE | {"due_on": "2025-04-01"})
    assert answer.status_code == 422 and "is not after" in answer.content.decode()


def test_it_is_withdrawn_moved_and_taken_back(gauge: Instrument, technician: Client) -> None:
    refused = technician.post(WRITES["withdraw"], {"reason": ""})
    assert "why it is withdrawn" in " ".join(str(m) for m in get_messages(refused.wsgi_request))
    technician.post(WRITES["withdraw"], {"reason": "dropped"})
    page = technician.get("/instruments/DG-1/").content.decode()
    assert "Withdrawn" in page and "dropped" in page
    technician.post(WRITES["take-back"], {"reason": ""})
    technician.post(WRITES["move"], {"location": "van"})
    assert queries.line_of(gauge).location == "van" and not queries.line_of(gauge).withdrawn


@pytest.mark.parametrize(
    "asked", ["?sort=number", "?sort=kind&kind=depth-gauge", "?sort=x&kind=y", "?kind=feeler"]
)
def test_the_list_in_any_order(gauge: Instrument, technician: Client, asked: str) -> None:
    page = technician.get(f"/instruments/{asked}").content.decode()
    assert ("DG-1" in page) == ("feeler" not in asked.partition("?")[2])


def test_a_name_that_is_markup_is_shown_as_text(technician: Client, shop: Any) -> None:
    technician.post("/instruments/new/", NEW | {"title": "<script>alert(1)</script>", "number": "<b>"})
    assert "<script>alert" not in technician.get("/instruments/").content.decode()
