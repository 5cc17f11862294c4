"""Pages of run-ups on a phone, on a bench screen, in a dark hangar: nothing sticks out, and axe finds nothing.

axe-core is the reference here: its rules for WCAG 2.2 A and AA (https://www.w3.org/TR/WCAG22/).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import Opened
from tests.browser.test_every_page import RULES, SCREENS

PAGES = {
    "the newest runs": "/runs/",
    "how to run it up": "/runs/how-to/",
    "runs of an engine": "ENGINEruns/",
    "hand one in": "ENGINEruns/new/",
    "one run": "RUN",
    "two over one another": "ENGINEruns/overlay/",
    "baseline": "ENGINEruns/baseline/",
    "tuning card": "ENGINEtuning/",
}


@pytest.fixture(scope="module")
def newest(browser: Any, opened: Opened, signed_in_state: dict[str, Any]) -> str:
    """The address of a run of the engine that has a baseline."""
    context = browser.new_context(storage_state=signed_in_state)
    page = context.new_page()
    page.goto(f"{opened.base}/runs/")
    address = page.locator("main .lines a", has_text="Tern 1").first.get_attribute("href")
    context.close()
    return str(address)


@pytest.fixture(scope="module", params=SCREENS)
def page(request: Any, browser: Any, signed_in_state: dict[str, Any]) -> Iterator[Any]:
    width, height, scheme = SCREENS[request.param]
    context = browser.new_context(
        storage_state=signed_in_state, viewport={"width": width, "height": height}, color_scheme=scheme
    )
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_run_ups_can_be_used_by_everyone(page: Any, opened: Opened, newest: str, name: str) -> None:
    engine = re.sub(r"runs/\d+/$", "", newest)
    response = page.goto(opened.base + PAGES[name].replace("ENGINE", engine).replace("RUN", newest))
    assert response.status == 200
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), "sticks out sideways"
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found = Axe().run(page, options=RULES)
    assert found.violations_count == 0, found.generate_report()
