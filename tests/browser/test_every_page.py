"""Every page on a phone, on a bench screen, in a dark hangar: nothing sticks out, and axe finds nothing.

axe-core is the reference here: its rules for WCAG 2.2 A and AA (https://www.w3.org/TR/WCAG22/).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import Opened

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SCREENS = {"phone": (360, 780, "light"), "bench": (1600, 1000, "light"), "dark": (820, 1180, "dark")}
PAGES = {
    "today": "/",
    "engines": "/engines/",
    "engine": "/engines/1391/",
    "task": "/engines/1391/tasks/diaphragm-service/",
    "jobs": "/visits/",
    "job": "JOB",
    "a step with a reading": "JOBsteps/lever-height/",
    "a step with findings": "JOBsteps/needle-tip/",
    "a drawing": "JOBsteps/lever-height/drawings/reading/",
    "release": "JOBrelease/",
    "deferred defects": "/defects/",
    "instruments": "/instruments/",
    "journal": "/journal/",
    "journal entry": "/journal/60/",
    "add engine": "/add-engine/",
    "last done": "/engines/1391/last-done/",
    "engines from a table": "/add-engine/from-a-table/",
}


@pytest.fixture(scope="module")
def job(browser: Any, opened: Opened, signed_in_state: dict[str, Any]) -> str:
    """The address of a job that was opened for the diaphragm service."""
    page = browser.new_context(storage_state=signed_in_state).new_page()
    page.goto(f"{opened.base}/engines/1391/tasks/diaphragm-service/")
    with page.expect_navigation():
        page.get_by_role("button", name="Open visit").click()
    return re.sub("^" + re.escape(opened.base), "", page.url)


@pytest.fixture(scope="module", params=SCREENS)
def page(request: Any, browser: Any, signed_in_state: dict[str, Any]) -> Iterator[Any]:
    width, height, scheme = SCREENS[request.param]
    context = browser.new_context(
        storage_state=signed_in_state, viewport={"width": width, "height": height}, color_scheme=scheme
    )
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("name", PAGES)
def test_the_page_fits_and_can_be_used_by_everyone(page: Any, opened: Opened, job: str, name: str) -> None:
    response = page.goto(opened.base + PAGES[name].replace("JOB", job))
    assert response.status == 200
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), "sticks out sideways"
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found = Axe().run(page, options=RULES)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", ["a step with a reading", "a step with findings"])
def test_what_a_wet_thumb_presses_is_large_enough(page: Any, opened: Opened, job: str, name: str) -> None:
    page.goto(opened.base + PAGES[name].replace("JOB", job))
    for button in page.locator("main form button:visible, main label.choice:visible, nav.turn a").all():
        assert button.bounding_box()["height"] >= 48, button.inner_text()


def test_a_track_log_is_added_without_javascript(
    browser: Any, opened: Opened, signed_in_state: dict[str, Any]
) -> None:
    context = browser.new_context(storage_state=signed_in_state, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{opened.base}/engines/1391/")
    page.set_input_files("input[name=track_log]", {"name": "x.igc", "mimeType": "text/plain", "buffer": b""})
    with page.expect_navigation():
        page.get_by_role("button", name="Add track log").click()
    assert "x.igc" in page.inner_text(".refused")
    context.close()
