"""From Today to a running visit in two presses, and each step's reading above the fold, on tablet and phone."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.browser.conftest import SHOTS, Opened

SECONDS = 5
SCREENS = {"tablet": (820, 1180), "phone": (390, 844)}


@pytest.mark.parametrize("screen", SCREENS)
def test_an_engine_is_taken_in_with_two_presses(
    browser: Any, opened: Opened, signed_in_state: dict[str, Any], screen: str
) -> None:
    width, height = SCREENS[screen]
    context = browser.new_context(storage_state=signed_in_state, viewport={"width": width, "height": height})
    page = context.new_page()
    page.goto(f"{opened.base}/")
    page.screenshot(path=SHOTS / f"visit-{screen}-1-today.png")
    rows = page.get_by_role("link", name=re.compile("Start visit"))
    with page.expect_navigation():
        rows.first.click()  # the first press
    page.screenshot(path=SHOTS / f"visit-{screen}-2-scope.png")
    shown = page.inner_text("#estimate strong")
    ticked = page.locator("form.scope .group input:checked").first
    box = page.locator(f"form.scope input[value='{ticked.get_attribute('value')}']").first
    box.uncheck()
    page.wait_for_function("old => document.querySelector('#estimate strong').innerText !== old", arg=shown)
    box.check()
    page.wait_for_function("old => document.querySelector('#estimate strong').innerText === old", arg=shown)
    with page.expect_navigation():
        page.get_by_role("button", name="Start visit").click()  # the second press
    assert re.search(r"/visits/\d{4}-\d{4}/$", page.url)
    assert page.inner_text("h1").startswith("Visit ")
    page.screenshot(path=SHOTS / f"visit-{screen}-3-visit.png")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.get_by_role("link", name=re.compile("^Continue")).first.click()
    page.wait_for_url("**/steps/*/")
    first = page.url
    page.keyboard.press("ArrowRight")
    page.wait_for_url(lambda url: url != first)
    page.keyboard.press("ArrowLeft")
    page.wait_for_url(first)
    context.close()


@pytest.mark.parametrize("screen", SCREENS)
def test_the_reading_is_above_the_fold(
    browser: Any, opened: Opened, signed_in_state: dict[str, Any], screen: str
) -> None:
    width, height = SCREENS[screen]
    context = browser.new_context(storage_state=signed_in_state, viewport={"width": width, "height": height})
    page = context.new_page()
    page.goto(f"{opened.base}/")
    serial = page.locator("a[href$='/start-visit/']").last.get_attribute("href").split("/")[2]
    page.goto(f"{opened.base}/engines/{serial}/tasks/diaphragm-service/")
    with page.expect_navigation():
        page.locator("form[action*=open-job] button").first.click()
    page.locator("details.part:not([open])").evaluate_all("all => all.forEach(d => d.open = true)")
    steps = page.locator("ol.steps a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    below, seen = [], 0
    for step in dict.fromkeys(steps):
        page.goto(opened.base + step)
        field = page.locator("form[action$='/reading/'] .typed input").first
        if field.count():
            seen += 1
            box = field.bounding_box()
            if box["y"] + box["height"] > height:
                below.append(step.split("/")[-2])
    assert seen >= 3
    # On a phone a long caution may push it down; on the tablet of the bench nothing does.
    most = seen // 3 if screen == "phone" else 0
    assert len(below) <= most, f"{below} of {seen} begin below the fold"
    context.close()


def test_two_technicians_see_each_others_steps_within_five_seconds(
    browser: Any, opened: Opened, signed_in_state: dict[str, Any]
) -> None:
    context = browser.new_context(storage_state=signed_in_state, viewport={"width": 820, "height": 1180})
    first, second = context.new_page(), context.new_page()
    first.goto(f"{opened.base}/")
    with first.expect_navigation():
        first.get_by_role("link", name=re.compile("Start visit")).first.click()
    with first.expect_navigation():
        first.get_by_role("button", name="Start visit").click()
    second.goto(first.url)
    assert "1 of" not in second.inner_text("#steps-now h2")
    with first.expect_navigation():
        first.get_by_role("link", name=re.compile("^Continue")).first.click()
    third = context.new_page()
    third.goto(first.url)
    finish = first.locator("form[action$='/done/'] button").first
    with first.expect_navigation():
        finish.click()
    second.locator("#steps-now h2", has_text="1 of").wait_for(timeout=SECONDS * 1000)
    third.get_by_role("link", name="Show the step as it is now").wait_for(timeout=SECONDS * 1000)
    third.screenshot(path=SHOTS / "visit-tablet-changed-meanwhile.png")
    context.close()
