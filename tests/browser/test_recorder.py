"""A run-up recorded with the browser's own microphone and handed in; the microphone hears an invented engine."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from tests.browser.conftest import CHROMIUM, Opened
from tests.browser.test_run_up_pages import _serial
from tickover.demo.enginesound import engine_sound

RATE = 48_000
IDLE, FULL = 2050.0, 7900.0
KNOTS = [
    (0, 0),
    (1.5, 0),
    (2, IDLE),
    (11, IDLE),
    (12, FULL),
    (21, FULL),
    (22.5, IDLE),
    (24, IDLE),
    (24.2, 0),
    (26, 0),
]
RUN_PAGE = re.compile(r"/runs/\d+/$")


@pytest.fixture(scope="module")
def engine_at_the_microphone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    t = np.arange(0.0, KNOTS[-1][0], 1.0 / RATE)
    rpm = np.interp(t, *zip(*KNOTS, strict=True))
    sound, _ = engine_sound(np.random.default_rng(3), np.where(rpm > 600.0, rpm, 0.0), RATE)
    place = tmp_path_factory.mktemp("sound") / "engine.wav"
    soundfile.write(place, 0.5 * sound, RATE, subtype="PCM_16")
    return place


@pytest.fixture(scope="module")
def tablet(browser: Any, engine_at_the_microphone: Path) -> Iterator[Any]:
    """A browser with a microphone; of the one that is open already only its kind is used."""
    started = browser.browser_type.launch(
        executable_path=CHROMIUM,
        args=[
            "--no-sandbox", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
            f"--use-file-for-fake-audio-capture={engine_at_the_microphone}%noloop",
        ],
    )  # fmt: skip
    yield started
    started.close()


@pytest.fixture
def page(tablet: Any, opened: Opened, signed_in_state: dict[str, Any]) -> Iterator[Any]:
    context = tablet.new_context(storage_state=signed_in_state, viewport={"width": 800, "height": 1100})
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: wrong.append(m.text) if "Content Security Policy" in m.text else None)
    page.goto(f"{opened.base}/engines/{_serial(page, opened.base)}/runs/new/")
    yield page
    context.close()
    assert not wrong


def test_an_engine_is_recorded_heard_again_and_its_speed_is_read(page: Any, tmp_path: Path) -> None:
    page.get_by_role("button", name="Start recording").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Recording. Start the engine when").wait_for()
    page.wait_for_timeout(26_500)
    assert page.locator("[data-time]").inner_text() in ("0:26", "0:27", "0:28")
    page.keyboard.press("Enter")  # the stop button has the focus
    page.get_by_text("recorded and put into the form below").wait_for()
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save on this device").click()
    saved.value.save_as(tmp_path / "saved.wav")
    info = soundfile.info(tmp_path / "saved.wav")
    assert (info.channels, info.subtype) == (1, "PCM_16") and info.duration == pytest.approx(27.0, abs=1.5)
    page.wait_for_function("document.querySelector('[data-listen]').duration > 20")
    page.get_by_role("button", name="Add run-up").click()
    page.wait_for_url(RUN_PAGE)
    told = page.request.get(f"{page.url}trace.json").json()
    figures = {figure["id"]: figure["value"] for figure in told["figures"]}
    assert figures["idle-rpm"] == pytest.approx(IDLE, rel=0.01)
    # Full throttle is too short here for a static speed; the trace holds it.
    full = next(phase for phase in told["phases"] if phase["name"] == "full")
    inside = [
        rpm
        for t, rpm in zip(told["channels"]["t_s"], told["channels"]["rpm"], strict=True)
        if full["start_s"] + 1 < t < full["end_s"] - 1
    ]
    assert np.median(inside) == pytest.approx(FULL, rel=0.01)
    heard = page.evaluate(
        """async () => {
          const audio = document.querySelector("audio");
          audio.load();
          await new Promise((done) => audio.addEventListener("loadedmetadata", done, {once: true}));
          audio.currentTime = 15;
          await new Promise((done) => audio.addEventListener("seeked", done, {once: true}));
          return audio.currentTime;
        }"""
    )
    assert heard == pytest.approx(15.0, abs=0.1)
    picture = page.locator(".strip .picture").bounding_box()
    page.mouse.click(picture["x"] + picture["width"] * (62 + 0.5 * (948 - 62)) / 960, picture["y"] + 60)
    page.wait_for_function("document.querySelector('.strip .heard')")
    half = told["channels"]["t_s"][-1] / 2
    assert page.evaluate("document.querySelector('audio').currentTime") == pytest.approx(half, abs=2.0)


def test_what_breaks_off_or_is_refused_stays_chosen(page: Any, tmp_path: Path) -> None:
    short = tmp_path / "short.wav"
    soundfile.write(short, np.zeros(3 * 8000, dtype=np.int16), 8000)
    page.get_by_label("The run-up").set_input_files(str(short))
    page.get_by_label("Remark").fill("in the rain")
    page.route("**/runs/new/", lambda route: route.abort())
    send = page.get_by_role("button", name="Add run-up")
    send.click()
    page.get_by_text("It broke off on the way. Nothing is lost").wait_for()
    page.unroute("**/runs/new/")
    send.click()
    page.locator(".refused").first.wait_for()
    assert "Nothing was saved" in page.locator(".refused").first.inner_text()
    assert page.evaluate("document.querySelector('#id_run_file').files[0].name") == "short.wav"
    assert page.get_by_label("Remark").input_value() == "in the rain"


def test_a_page_without_a_secure_address_says_what_to_do(page: Any) -> None:
    page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    page.reload()
    assert page.get_by_text("Open tickover over HTTPS").is_visible()
    assert not page.get_by_role("button", name="Start recording").is_visible()


def test_without_a_script_it_says_what_to_do(
    tablet: Any, opened: Opened, signed_in_state: dict[str, Any], page: Any
) -> None:
    context = tablet.new_context(storage_state=signed_in_state, java_script_enabled=False)
    plain = context.new_page()
    plain.goto(page.url)
    assert plain.get_by_text("Recording here needs JavaScript").is_visible()
    assert not plain.get_by_role("button", name="Start recording").is_visible()
    context.close()


def test_a_microphone_that_is_refused_is_said(page: Any) -> None:
    page.evaluate(
        "() => { navigator.mediaDevices.getUserMedia ="
        " () => Promise.reject(new DOMException('no', 'NotAllowedError')) }"
    )
    page.get_by_role("button", name="Start recording").click()
    assert page.get_by_text("The microphone was not allowed.").is_visible()
