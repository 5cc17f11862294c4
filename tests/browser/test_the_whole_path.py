"""The main job in a real browser: from a track log to a signed release on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.conftest import SHOTS, Opened


def _nearest_diaphragms(due: str) -> str:
    """The engine with the fewest hours left to its diaphragm service."""
    rows = [line for line in due.splitlines() if "diaphragm service" in line]
    points = [(re.search(r"Due at ([\d.]+) h", row), re.search(r"now ([\d.]+) h", row), row) for row in rows]
    left_h = {row: float(at[1]) - float(now[1]) for at, now, row in points if at and now}
    return min((row for row in left_h if left_h[row] > 0), key=lambda row: left_h[row]).split(",")[0]


def _shot(page: Any, name: str) -> None:
    page.screenshot(path=str(SHOTS / f"{name}.png"), full_page=True)


@pytest.fixture
def page(browser: Any, opened: Opened) -> Iterator[Any]:
    """A tablet in the hangar. Whatever the browser complains of fails the test."""
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    page.goto(opened.link)
    yield page
    assert [text for text in complaints if "422" not in text] == []


def test_from_a_track_log_to_a_signed_release_on_paper(page: Any, opened: Opened) -> None:
    base, link = opened.base, opened.link

    # Today says what needs a hand; the link is good only once.
    assert page.url == f"{base}/"
    _shot(page, "1-today")
    again = page.request.get(link)
    assert "used already" in again.text()

    # Open the engine whose diaphragm service is nearest, by hours.
    name = _nearest_diaphragms(opened.cli("due", "--all").stdout)
    page.goto(f"{base}/engines/?q={name}")
    page.get_by_role("link", name=name, exact=True).first.click()
    _shot(page, "2-engine")
    before = page.locator("h1, main").first.inner_text()
    assert name in page.inner_text("main")

    # A wrong file is refused with a sentence, and the page stays usable.
    _drop(page, {"name": "photo.igc", "mimeType": "image/png", "buffer": b"\x89PNG\r\n\x1a\n" + b"0" * 200})
    assert "photo.igc" in page.inner_text("main")

    # Drop the track log: the time it adds, and why.
    log = str(opened.data / "try-this-track-log.igc")
    _drop(page, log)
    page.wait_for_url("**/time/*/")
    assert "track log with engine noise" in page.inner_text("main")
    assert page.locator("svg").count() >= 1
    _shot(page, "3-entry")
    page.go_back()
    page.reload()
    assert page.inner_text("main") != before

    # The same file again is refused, naming the entry.
    page.goto(f"{base}/engines/?q={name}")
    page.get_by_role("link", name=name, exact=True).first.click()
    _drop(page, log)
    assert "added already" in page.inner_text("main")

    # Now it is due: open the job from the task's page.
    page.goto(f"{base}/engines/?q={name}")
    page.get_by_role("link", name=name, exact=True).first.click()
    page.get_by_text(re.compile(r"\d+ more tasks")).click()
    page.get_by_role("link", name=re.compile("diaphragm", re.I)).first.click()
    assert "due now" in page.inner_text("main").lower()
    _shot(page, "4-task")
    page.locator("form[action*=open-job] button").first.click()
    page.wait_for_url("**/visits/*/")
    _shot(page, "5-job")
    job = page.url

    # The right pieces for this build, and those laid aside.
    words = page.inner_text("main").lower()
    assert "not for this build" in words
    page.fill("input[name=lot]", "DK-2611-07")
    page.locator("form[action*='/kit/'] button").click()

    # A release with open steps is refused.
    page.goto(f"{job}release/")
    assert "not done" in page.inner_text("main")

    # Through the card, step by step.
    page.goto(job)
    with page.expect_navigation():
        page.locator("main a.first[href*='/steps/']").click()
    steps = _work_through(page, job)
    assert steps > 25
    _shot(page, "9-last-step")

    # Release, and the papers.
    page.goto(f"{job}release/")
    _shot(page, "10-release")
    page.fill("textarea[name=limitations]", "Recheck the flange for leaks after the first hour.")
    _press(page, f"Release {name}")
    page.wait_for_url(job)
    _shot(page, "11-released")
    for paper in ("work-card.pdf", "release.pdf"):
        got = page.request.get(f"{job}{paper}")
        assert got.ok and got.body().startswith(b"%PDF")
        (SHOTS / paper).write_bytes(got.body())
        assert page.request.get(f"{job}{paper}").body() == got.body()

    # The next due has moved on, and all of it stands in the journal.
    due = opened.cli("due", "--all").stdout
    line = next(row for row in due.splitlines() if row.startswith(f"{name}, ") and "diaphragm" in row.lower())
    assert "due now" not in line and "overdue" not in line
    page.goto(f"{base}/journal/")
    assert "Released to service" in page.inner_text("main")
    _shot(page, "12-journal")
    verified = opened.cli("verify")
    assert verified.returncode == 0, verified.stdout

    # One changed byte of the evidence is found, naming the entry.
    evidence = next(p for p in (opened.data / "files").rglob("*") if p.is_file())
    sound = evidence.read_bytes()
    evidence.write_bytes(bytes([sound[0] ^ 1]) + sound[1:])
    broken = opened.cli("verify")
    assert broken.returncode == 1 and "Journal entry" in broken.stdout
    evidence.write_bytes(sound)


def _drop(page: Any, file: object) -> None:
    """Choosing or dropping a file hands it in at once; without JavaScript a button does."""
    with page.expect_navigation():
        page.set_input_files("input[name=track_log]", file)


def _press(page: Any, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name).first.click()


def _work_through(page: Any, job: str) -> int:
    """Do every step as the technician would; critical ones are confirmed by the inspector."""
    done = 0
    while "/steps/" in page.url:
        step = page.url
        if page.locator("form[action$='/caution/']").count():
            _shot(page, "6-step-caution")
            _press(page, "I have read the caution")
        if page.locator("form[action$='/reading/']").count():
            _take_reading(page, done)
        if page.locator("#no-photo").count():
            page.fill("#no-photo", "no camera in the hangar")
        found = page.locator("form[action$='/done/'] button[name=finding_id]")
        if done in (0, 8, 17):
            _shot(page, f"6-step-{done}")
        with page.expect_navigation():
            (found if found.count() else page.get_by_role("button", name="Done, next")).first.click()
        done += 1
        if page.url == step:
            if page.locator("form[action$='/second-check/']").count():
                _confirm(page)
            page.goto(job)
            following = page.locator("main a.first[href*='/steps/']")
            if not following.count():
                break
            with page.expect_navigation():
                following.click()
    return done


def _take_reading(page: Any, done: int) -> None:
    form = page.locator("form[action$='/reading/']")
    if "lever" in page.inner_text("h2.act").lower():
        _try_slips_of_the_thumb(page)
        form.locator("input[name=typed]").fill("1,4")
    else:
        _type_in(form, page.inner_text("section.read"))
    sets = page.get_by_role("button", name="Save setting").count() > 0
    _press(page, "Save setting" if sets else "Save reading")
    said = page.inner_text("section.read")
    assert any(words in said for words in (("wrench",) if sets else ("OK",))), said
    _shot(page, f"7-reading-{done}")


def _try_slips_of_the_thumb(page: Any) -> None:
    for typed, said in (("abc", "abc"), ("14", "1.4")):
        page.locator("form[action$='/reading/'] input[name=typed]").fill(typed)
        _press(page, "Save reading")
        assert said in page.inner_text(".refused")


LOST_NOTHING = {"of-start": "0.5", "of-end": "0.5", "of-minutes": "1"}
LONG_ENOUGH = {"of-minutes": "3", "of-seconds": "30"}
"""Beside a reading that is taken after a time."""


def _type_in(form: Any, limit: str) -> None:
    """Every number the step asks for, but those that it may suppose."""
    beside = LONG_ENOUGH if form.locator(".typed input[name=typed]").count() else LOST_NOTHING
    for field in form.locator(".typed input").all():
        name = field.get_attribute("name") or ""
        if not name.startswith("of-"):
            field.fill(_inside(limit))
        elif name in beside:
            field.fill(beside[name])


def _inside(words: str) -> str:
    """A reading well inside the limits that the page shows."""
    if found := re.search(r"([\d.]+) to ([\d.]+)", words):
        return f"{(float(found[1]) + float(found[2])) / 2:.6g}"
    found = re.search(r"at least ([\d.]+)", words)
    assert found, words
    return f"{1.4 * float(found[1]):.6g}"


def _confirm(page: Any) -> None:
    """Change to the inspector, read the gauge again where there is one, confirm, change back."""
    here = page.url.rstrip("#")
    _change_to(page, "ivo")
    assert page.url == here
    form = page.locator("form[action$='/second-check/']")
    if form.locator(".typed input").count():
        _type_in(form, page.inner_text("section.read"))
    _shot(page, "8-second-check")
    _press(page, "Confirm as")
    assert "Confirmed by" in page.inner_text("main")
    _change_to(page, "mara")


def _change_to(page: Any, username: str) -> None:
    page.get_by_text("Change person", exact=True).click()
    with page.expect_navigation():
        page.locator(f"form[action='/change-person/'] button[value={username}]").click()
