"""A technician who never saw a sheet's file gives the workshop an engine type of his own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.conftest import SHOTS, Opened


@pytest.fixture
def page(browser: Any, opened: Opened) -> Iterator[Any]:
    """An inspector, who may change type sheets."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    page.goto(opened.fresh_link("ivo"))
    yield page
    assert [text for text in complaints if "422" not in text] == []


def _shot(page: Any, name: str) -> None:
    for width in (360, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        page.screenshot(path=str(SHOTS / f"type-sheets-{name}-{width}.png"), full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name


def _press(page: Any, name: str) -> None:
    page.get_by_role("button", name=name).first.focus()
    page.keyboard.press("Enter")


def _change(page: Any, table: str, row: str, typed: dict[str, str]) -> None:
    """From the draft's page to one row and back, by what stands on the page."""
    page.locator(f"details:has(summary:text-is('{table}')) summary").first.click()
    page.get_by_role("link", name=row, exact=True).first.click()
    for label, value in typed.items():
        page.get_by_label(label).first.fill(value)
    _press(page, "Save in draft")
    page.wait_for_url("**/draft/")


def test_an_own_engine_type_from_nothing_to_its_programme(page: Any, opened: Opened) -> None:
    base = opened.base
    page.goto(f"{base}/engines/")
    page.get_by_role("link", name="Type sheets").click()
    _shot(page, "list")
    page.get_by_role("link", name="Add type").click()
    page.get_by_label("Velisk 130").check()
    _press(page, "Continue")
    page.get_by_label("Name of the type").fill("Corvane 140")
    page.fill("input[name=geometry-bore_mm]", "56,0 mm")
    page.fill("input[name=geometry-gear_ratio]", "3.1")
    page.fill("input[name=build0-title]", "First series")
    page.fill("input[name=build0-serial_to]", "499")
    page.fill("input[name=build1-title]", "Second series")
    page.fill("input[name=build1-serial_from]", "500")
    _shot(page, "new")
    _press(page, "Start draft")
    page.wait_for_url("**/corvane-140/draft/")
    assert "A new type with 2 builds" in page.inner_text("main")

    # A slip is refused beside its field, and nothing is stored.
    page.locator("details:has(summary:text-is('Limits')) summary").first.click()
    page.get_by_role("link", name="Pop-off pressure", exact=True).click()
    page.get_by_label("Lower limit").fill("9")
    _press(page, "Save in draft")
    page.get_by_text("Nothing was saved").wait_for()
    _shot(page, "refused")
    page.goto(f"{base}/type-sheets/corvane-140/draft/")

    _change(page, "Limits", "Pop-off pressure", {"Lower limit": "0,8", "Upper limit": "1,3"})
    _change(page, "Limits", "Metering lever height from the body face", {"Nominal value": "1.45"})
    _change(page, "Limits", "Pressure at which the needle closes again", {"Lower limit": "0.55"})
    _change(page, "Programme", "Carburettor diaphragm service", {"Every so many engine hours": "40"})
    _shot(page, "draft")
    page.get_by_label("Why").fill("maker’s manual, issue 1")
    _press(page, "Save as version 1")
    page.wait_for_url("**/type-sheets/corvane-140/")
    _shot(page, "type")
    assert "version 1" in page.inner_text("h1")

    page.get_by_role("link", name="Add engine").click()
    page.locator("input[name=name]").fill("Corvid")
    page.get_by_label("Serial number").fill("512")
    page.get_by_text("The serial does not say which build").click()
    page.get_by_label("Second series").check()
    page.locator("input[name=owner]").fill("Nils Tarn")
    page.get_by_label("Hours now").fill("0")
    _shot(page, "engine")
    _press(page, "Add engine")
    page.wait_for_url("**/engines/512/")
    words = page.inner_text("main")
    assert "Corvane 140" in words and "Second series" in words
    assert "Carburettor diaphragm service" in page.locator("main").text_content()

    # A change to a kept sheet says what it touches before it holds.
    page.goto(f"{base}/type-sheets/corvane-140/?what=programme&q=diaphragm+service")
    page.get_by_role("link", name="Change Carburettor diaphragm service").click()
    page.get_by_label("Every so many months").fill("6")
    _press(page, "Save in draft")
    page.get_by_text("1 engine of this type; 1 task comes due earlier.").wait_for()
    _shot(page, "change")
    page.get_by_role("button", name="Discard draft").click()
    page.goto(f"{base}/type-sheets/corvane-140/versions/")
    _shot(page, "versions")
