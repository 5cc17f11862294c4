"""A run-up handed in by a person, and its strip drawn closer with the mouse and without a script."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import Opened
from tests.workshop.web.run_ups.test_run_ups_pages import table


@pytest.fixture
def page(browser: Any, signed_in_state: dict[str, Any]) -> Iterator[Any]:
    context = browser.new_context(storage_state=signed_in_state, viewport={"width": 1280, "height": 900})
    yield context.new_page()
    context.close()


def _serial(page: Any, base: str) -> str:
    page.goto(f"{base}/engines/")
    return str(page.locator("main a[href^='/engines/']").first.get_attribute("href")).split("/")[2]


def test_a_run_up_is_handed_in_and_seen_closer(opened: Opened, page: Any, tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(table(seed=77))
    serial = _serial(page, opened.base)
    page.goto(f"{opened.base}/engines/{serial}/")
    page.get_by_role("link", name="Run-ups").click()
    page.get_by_role("link", name="Add run-up").click()
    assert page.get_by_text("Never indoors").is_visible()
    page.get_by_label("The run-up").set_input_files(str(log))
    page.get_by_label("Air temperature").fill("12,5")
    page.get_by_role("button", name="Add run-up").click()
    page.wait_for_url(re.compile(r"/runs/\d+/$"))
    picture = page.locator(".strip .picture")
    whole = picture.inner_html()
    box = picture.bounding_box()
    y = box["y"] + 60
    page.mouse.move(box["x"] + 0.35 * box["width"], y)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.5 * box["width"], y, steps=5)
    page.mouse.up()
    page.wait_for_url("**from=*")
    assert page.locator(".strip .picture").inner_html() != whole
    page.goto(page.url.split("?")[0])
    page.locator(".moves a", has_text="Full").click()
    assert "from=" in page.url and page.locator(".strip .picture").inner_html() != whole
