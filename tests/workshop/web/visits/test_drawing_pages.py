"""A drawing of a step fills the screen on a page of its own, with the way back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def bench(outer: Any, hands: Any, crew: Any, signed_in: Callable[..., Client]) -> tuple[Client, str]:
    job = hands.open(outer, "diaphragm-service")
    return signed_in(crew.technician), f"/visits/{job.number}/steps"


def test_each_drawing_of_a_step_is_a_link_to_itself_alone(bench: tuple[Client, str]) -> None:
    client, steps = bench
    page = client.get(f"{steps}/pop-off/").content.decode()
    assert f'href="{steps}/pop-off/drawings/reading/"' in page
    alone = client.get(f"{steps}/pop-off/drawings/reading/").content.decode()
    assert alone.count("<svg") == 1 and "Where to measure: Pop-off pressure" in alone
    assert "0.7 to 1.4 bar" in alone
    assert f'rel="up"\n    href="{steps}/pop-off/"' in alone


def test_an_act_brings_its_drawing_to_every_card_that_does_it(bench: tuple[Client, str]) -> None:
    client, steps = bench
    alone = client.get(f"{steps}/hook-diaphragm/drawings/work/").content.decode()
    assert "Diaphragm in the lever&#x27;s fork" in alone
    assert "Common practice" in alone


def test_a_drawing_or_step_that_is_not_there_is_not_found(bench: tuple[Client, str]) -> None:
    client, steps = bench
    assert client.get(f"{steps}/pop-off/drawings/screws/").status_code == 404
    assert client.get(f"{steps}/no-such-step/drawings/work/").status_code == 404
    assert client.post(f"{steps}/pop-off/drawings/reading/").status_code == 405


def test_who_is_not_signed_in_sees_no_drawing(bench: tuple[Client, str]) -> None:
    _, steps = bench
    assert Client().get(f"{steps}/pop-off/drawings/reading/").status_code in (302, 403)
