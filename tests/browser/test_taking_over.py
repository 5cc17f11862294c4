"""An empty workshop takes over an engine with its old logbook: how many presses, how many keys, how long.

The time is reckoned by the keystroke-level model: 0.28 s a key, 1.1 s to point at something, 0.4 s from the keys to the
pointer and back, 1.35 s to think of each field. Source: S. K. Card, T. P. Moran, A. Newell, "The Psychology of
Human-Computer Interaction" (1983), chapter 8 (from memory). Leafing through the logbook comes on top.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import SHOTS, Opened, _environment, _open

SCREENS = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1280, 900)}
SET_UP = """
import django
django.setup()
from django.core.management import call_command
from django.utils import timezone
from tickover.sheets import shipped_texts
from tickover.workshop.people import actions as people
from tickover.workshop.register import actions as register
call_command("migrate", verbosity=0)
now = timezone.now()
people.set_up_workshop("Tarn Bench", "", is_demo=False, works_alone=False, at=now)
people.add_person(people.NewPerson("tilda", "Tilda", "Reeve", "technician", "T-1", "a-long-enough-password"), at=now)
for name, text in shipped_texts().items():
    register.keep_sheet(text, name, actor="tickover", at=now)
"""
SERVICES = 25


@dataclass
class Hands:
    """What a person does, counted."""

    page: Any
    presses: int = 0
    keys: int = 0
    fields: int = 0

    def press(self, selector: str) -> None:
        self.page.click(selector)
        self.presses += 1

    def type(self, text: str, then: str = "") -> None:
        self.page.keyboard.type(text)
        self.keys, self.fields = self.keys + len(text), self.fields + 1
        if then:
            self.page.keyboard.press(then)
            self.keys += 1

    @property
    def minutes(self) -> float:
        return (0.28 * self.keys + (1.1 + 0.4) * self.presses + 1.35 * (self.fields + self.presses)) / 60


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    """A workshop of one's own with one person and no engine."""
    data: Path = tmp_path_factory.mktemp("own") / "data"
    (data / "static").mkdir(parents=True)
    env = _environment(data) | {"DJANGO_SETTINGS_MODULE": os.environ["DJANGO_SETTINGS_MODULE"]}
    subprocess.run([sys.executable, "-c", SET_UP], env=env, check=True, timeout=120)
    with _open(data) as workshop:
        yield workshop


@pytest.fixture(scope="module")
def own_state(browser: Any, empty: Opened) -> Any:
    context = browser.new_context()
    context.new_page().goto(empty.link)
    return context.storage_state()


@pytest.mark.parametrize("screen", SCREENS)
def test_an_engine_and_its_logbook_in_five_minutes(
    browser: Any, empty: Opened, own_state: Any, screen: str
) -> None:
    width, height = SCREENS[screen]
    serial = str(1300 + list(SCREENS).index(screen))
    page = browser.new_context(
        storage_state=own_state, viewport={"width": width, "height": height}
    ).new_page()
    page.goto(f"{empty.base}/engines/")
    hands = Hands(page)
    hands.press("text=Add engine")
    page.screenshot(path=SHOTS / f"take-over-{screen}-1-form.png")
    hands.press("[name=serial]")
    hands.type(serial)
    hands.press("input[name=type][value='velisk-185']")
    for name, text in (("owner", "Nils Tarn"), ("hours_h", "230"), ("source", "logbook 1, page 34")):
        hands.press(f"[name={name}]")
        hands.type(text)
    hands.press("button:has-text('Add engine')")
    page.wait_for_url("**/last-done/")
    assert page.inner_text(".save-bar p") == "0 of 47 known"
    page.screenshot(path=SHOTS / f"take-over-{screen}-2-table.png")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    _copy(hands)
    page.screenshot(path=SHOTS / f"take-over-{screen}-3-copied.png")
    hands.press(".save-bar button")
    page.wait_for_url(re.compile(rf"/engines/{serial}/$"))
    assert f"{SERVICES} tasks saved." in page.inner_text("main")
    assert hands.presses <= 9
    assert hands.minutes < 5.0, hands
    _shown(page, empty, serial, screen)


def _copy(hands: Hands) -> None:
    """The last times of the first tasks: hours, Tab, day, and Enter to the next row."""
    day = date.today() - timedelta(days=20)
    hands.press("td.at input >> nth=0")
    for _ in range(SERVICES):
        hands.type("226", "Tab")
        hands.type(f"{day.day}.{day.month}.{day.year}", "Enter")
    assert hands.page.input_value(f"td.on input >> nth={SERVICES - 1}")
    focused, bar = (hands.page.locator(what).bounding_box() for what in ("input:focus", ".save-bar"))
    assert focused["y"] + focused["height"] <= bar["y"]


def _shown(page: Any, workshop: Opened, serial: str, screen: str) -> None:
    """Nothing is called overdue, and what is not known says so, wherever it is looked up."""
    page.goto(f"{workshop.base}/")
    row = page.inner_text(f"li.due:has(a[href='/engines/{serial}/'])")
    assert re.search(r"\d+ not known", row) and "overdue" not in row
    for address in ("/weeks/", f"/engines/{serial}/"):
        page.goto(f"{workshop.base}{address}")
        assert "ot known: baseline inspection" in page.inner_text("main"), address
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), address
        page.screenshot(path=SHOTS / f"take-over-{screen}-{address.strip('/').replace('/', '-')}.png")


def test_cells_are_pasted_where_they_belong(browser: Any, empty: Opened, own_state: Any) -> None:
    page = browser.new_context(storage_state=own_state).new_page()
    page.goto(f"{empty.base}/add-engine/")
    for name, text in (("serial", "1390"), ("owner", "Ada Rook"), ("hours_h", "230"), ("source", "book")):
        page.fill(f"[name={name}]", text)
    page.check("input[name=type][value='velisk-185']")
    with page.expect_navigation():  # its script listens only when the page is loaded
        page.click("button:has-text('Add engine')")
    paste = """([name, text]) => {
      const data = new DataTransfer();
      data.setData("text", text);
      const cell = document.getElementsByName(name)[0];
      cell.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
    }"""
    page.evaluate(paste, ["h-diaphragm-service", "205\t1.6.2026\n210\t1.7.2026"])
    assert page.input_value("[name=h-running-baseline]") == "210"
    assert page.input_value("[name=d-running-baseline]") == "1.7.2026"
    with page.expect_navigation():
        page.evaluate(paste, ["h-diaphragm-service", "Spark plug renewal\t190\t1.6.2025"])
    assert page.input_value("[name=h-plug-renewal]") == "190"
    assert page.input_value("[name=h-running-baseline]") == "210"
    assert "1 row read: 1 task filled in." in page.inner_text("main")
