"""A drawing opens full screen and closes again: by Escape, and by plain links without JavaScript."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.conftest import SHOTS


@pytest.mark.parametrize("script", [True, False])
def test_a_drawing_opens_on_the_whole_screen_and_leads_back(
    browser: Any, opened: Any, signed_in_state: Any, script: bool
) -> None:
    context = browser.new_context(
        storage_state=signed_in_state, viewport={"width": 390, "height": 844}, java_script_enabled=script
    )
    page = context.new_page()
    page.goto(f"{opened.base}/visits/")
    page.locator('main a[href^="/visits/20"]').first.click()
    page.locator('a[href$="/steps/make-safe/"]').first.click()
    step = page.url
    page.locator("a.to-full").first.click()
    page.wait_for_url("**/drawings/work/")
    drawn = page.locator("svg.picture").bounding_box()
    assert drawn["width"] > 360 and drawn["x"] >= 0 and drawn["x"] + drawn["width"] <= 390
    assert drawn["y"] + drawn["height"] <= 844
    page.screenshot(path=SHOTS / f"drawing-{'script' if script else 'plain'}.png")
    if script:
        assert page.evaluate("document.fonts.check('16px \"Tickover Sans\"')")
        page.keyboard.press("Escape")
    else:
        page.locator("a[rel=up]").click()
    page.wait_for_url(step)
    context.close()
