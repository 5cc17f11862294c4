"""A recorded burst: the times of its opening and its drop-back, or why they were not measured."""

from __future__ import annotations

import io

import numpy as np
import pytest
import soundfile

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science import run_up
from tickover.sheets import TypeSheet, load_sheet, shipped_texts
from tickover.workshop.run_ups.uploads.listening import trace_of

RATE_HZ = 16_000
# Idle; two bursts to three quarters: open within 0.8 s, held 2 s, closed within 0.4 s, idle 1.5 s later; full.
BURSTS = [(s + t, rpm) for s in (12.0, 26.0) for t, rpm in (
    (0.0, 2100.0), (0.8, 6500.0), (2.8, 6500.0), (3.2, 4100.0), (4.3, 2180.0), (5.5, 2100.0))]  # fmt: skip
COURSE = [(0.0, 2100.0), *BURSTS, (40.0, 2100.0), (40.8, 8000.0), (56.0, 8000.0)]


@pytest.fixture(scope="module")
def sheet() -> TypeSheet:
    return load_sheet(shipped_texts()["velisk-185.toml"], "velisk-185.toml")


def both(sheet: TypeSheet, **sounding: float) -> tuple[run_up.RunUpJudgement, run_up.RunUpJudgement]:
    """What is measured of the run as it is heard, and of its true speed."""
    geometry = sheet.geometry
    how = Sounding(gear_ratio=geometry.gear_ratio, blades=geometry.propeller.blades, **sounding)  # type: ignore[arg-type]
    rpm = np.interp(np.arange(56 * RATE_HZ) / RATE_HZ, *zip(*COURSE, strict=True))
    samples, truth = engine_sound(np.random.default_rng(6), rpm, RATE_HZ, how)
    file = io.BytesIO()
    soundfile.write(file, samples, RATE_HZ, format="WAV")
    frame_s = np.arange(0.0, 56.0, 0.05)
    true = run_up.make_trace(frame_s, truth[np.round(frame_s * RATE_HZ).astype(int)])
    heard, _ = trace_of(file.getvalue(), sheet)
    return run_up.analyse(heard), run_up.analyse(true)


@pytest.mark.parametrize(
    "sounding", [{}, {"wind": 0.15}, {"propeller": 1.3}], ids=["calm", "wind", "propeller"]
)
def test_opening_and_drop_back_are_heard_to_a_tenth_of_a_second(
    sheet: TypeSheet, sounding: dict[str, float]
) -> None:
    heard, true = both(sheet, **sounding)
    for measure in ("opening", "drop-back"):
        assert heard.measure(measure).value == pytest.approx(true.measure(measure).value, abs=0.1)


def test_where_the_wind_hides_the_idle_nothing_is_measured_and_the_reason_is_told(sheet: TypeSheet) -> None:
    heard, _ = both(sheet, wind=1.0)
    for measure in ("opening", "drop-back", "idle-rpm"):
        assert heard.measure(measure).value is None
        assert heard.measure(measure).why_not
