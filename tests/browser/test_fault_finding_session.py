"""A fault-finding session on a phone, answered with one thumb: from the owner's words to the job of the cure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.conftest import SHOTS, Opened

WORDS = "Surging idle, and it falls back slowly."


@pytest.fixture
def page(browser: Any, opened: Opened) -> Iterator[Any]:
    """A phone in the hangar. Whatever the browser complains of fails the test."""
    page = browser.new_page(viewport={"width": 360, "height": 740})
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    page.goto(opened.fresh_link("mara"))
    yield page
    assert complaints == []


def test_from_the_owners_words_to_the_job_of_the_cure(page: Any, opened: Opened) -> None:
    # From an engine, in the owner's words.
    page.goto(f"{opened.base}/engines/")
    page.locator("main li h2 a, main li h3 a, main td a, main th a").first.click()
    page.get_by_role("link", name="All, and new complaint").click()
    page.get_by_role("link", name="Start fault finding").click()
    page.get_by_label("Complaint").fill(WORDS)
    page.get_by_role("button", name="Find what fits").click()

    # The words propose findings; two are ticked.
    _tick(page, "idle-races")
    _tick(page, "idle-slow-to-fall")
    _fits(page, "trouble-1-start")
    page.get_by_role("button", name="Start checking").click()

    # The page answers first, with three buttons in the reach of a thumb.
    assert page.inner_text(".answer").startswith("Next")
    for name in ("Seen", "Not there", "Not checked"):
        box = page.get_by_role("button", name=name, exact=True).bounding_box()
        assert box and box["height"] >= 48 and box["width"] >= 90
    _fits(page, "trouble-2-session")
    assert WORDS in page.inner_text("blockquote")

    # Answer, and undo: the next look is the one from before.
    first = page.inner_text(".answer")
    page.get_by_role("button", name="Not there", exact=True).click()
    assert page.inner_text(".answer") != first
    page.get_by_role("button", name="Undo the last answer").click()
    assert page.inner_text(".answer") == first

    # A danger that is seen comes before everything.
    page.goto(f"{page.url.split('?')[0]}?look=fuel-smell")
    page.get_by_role("button", name="Seen", exact=True).click()
    assert page.inner_text(".answer").startswith("Stop: ")
    _fits(page, "trouble-3-stop")
    page.get_by_role("button", name="Undo the last answer").click()

    # Found at the part: the job of the cure is opened, and the session says so.
    page.locator(".suspects summary").first.click()
    page.get_by_role("button", name="Confirm: open visit").first.click()
    assert page.inner_text(".answer").startswith("Cause found")
    _fits(page, "trouble-4-ended")
    page.get_by_role("link", name="Open visit").click()
    assert "/visits/" in page.url


def _tick(page: Any, finding: str) -> None:
    page.locator(f'input[name="look-{finding}"][value="seen"]').check()


def _fits(page: Any, name: str) -> None:
    """Nothing is wider than the phone."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.screenshot(path=str(SHOTS / f"{name}.png"), full_page=True)
