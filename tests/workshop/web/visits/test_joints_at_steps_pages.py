"""A torque is on the page of the step that tightens; a part that is renewed is said once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.logbook.step_drawings import step_drawings
from tickover.workshop.visits import queries

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def step_page(outer: Any, hands: Any, crew: Any, signed_in: Callable[..., Client]) -> Callable[[str], str]:
    job, client = hands.open(outer, "diaphragm-service"), signed_in(crew.technician)

    def shown(step_id: str) -> str:
        return " ".join(client.get(f"/visits/{job.number}/steps/{step_id}/").content.decode().split())

    return shown


def test_no_removal_shows_a_tightening_torque(step_page: Callable[[str], str]) -> None:
    for removal in ("carburettor-off", "pump-cover-off", "metering-cover-off"):
        page = step_page(removal)
        assert "<dt>Torque</dt>" not in page and "Tightening order" not in page
        assert "<figure" in page, "the order of its pieces stays"
    for fitting in ("metering-cover-on", "carburettor-on", "flange-torque"):
        page = step_page(fitting)
        assert "<dt>Torque</dt>" in page and "Tightening order" in page


def test_a_renewed_gasket_is_said_once(step_page: Callable[[str], str]) -> None:
    page = step_page("metering-gasket")
    assert page.count("<dt>Fit new, discard old</dt>") == 1
    assert "<dt>Fit new</dt>" not in page and "<dt>Discard old</dt>" not in page
    assert "<dt>Discard old</dt><dd>Pump diaphragm" in step_page("pump-cover-off")


def test_pictures_of_a_step_that_looks_have_no_tightening_order(outer: Any, hands: Any) -> None:
    sheet = queries.job_sheet(hands.open(outer))
    assert len(step_drawings(sheet, sheet.step("look-flange"))) == 1
    assert len(step_drawings(sheet, sheet.step("flange-torque"))) >= 2
