"""What is to be said of a speed that was heard: warnings in sentences, and the working of the number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.working import Quantity, Working
from tickover.science.sound.confidence import SEVERAL_DB as SWELLS_DB
from tickover.science.sound.listening import HOP_S, FollowedSound

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]

STEADY_S = 10.0
SILENT = 1e-4
OVERDRIVEN = 0.02
NEAR_FULL = 0.97
QUARTERS_DB = 6.0
SEVERAL_SHARE = 0.3
BLADELESS_DB, BLADELESS_SHARE = 2.5, 0.5
FEW = 0.1
AMBIGUOUS = 0.75


@dataclass(frozen=True)
class Loudness:
    """How loud a recording is so far: its peak, and how many samples stand close to the peak of their block."""

    samples: int = 0
    peak: float = 0.0
    near_full: int = 0

    def and_then(self, block: Samples) -> Loudness:
        """The same with one more block."""
        level = np.abs(block)
        peak = float(level.max(initial=0.0))
        near = int((level >= NEAR_FULL * peak).sum()) if peak > SILENT else 0
        return Loudness(self.samples + block.size, max(self.peak, peak), self.near_full + near)


def remarks(
    heard: FollowedSound, rpm: Floats, depth: Floats, gear_known: bool, loudness: Loudness
) -> tuple[str, ...]:
    """Everything that a reader should know beside the numbers."""
    known = np.isfinite(rpm)
    followed = np.isfinite(heard.rate_hz)
    if loudness.peak <= SILENT:
        return ("The recording is silent.",)
    if not known.any():
        return (_nothing(bool(followed.any())), *_another(heard, followed), *_short(rpm.size))
    said = [
        "Taken to be one engine of one cylinder that fires once a turn; another engine can sound the same.",
        *_short(rpm.size),
        *_doubtful(known, followed),
        *_several(heard.quarters_db[known]),
        *_another(heard, followed),
        *_deep(depth),
    ]
    if not gear_known:
        said.append(
            "Gear ratio and blades are not known, so a loud propeller may be mistaken for the engine."
        )
    if loudness.near_full > OVERDRIVEN * loudness.samples:
        said.append("The recording is overdriven: four-stroking looks weaker than it is.")
    return tuple(said)


def _nothing(followed: bool) -> str:
    if followed:
        return "A tone, but nothing that is clearly an engine."
    return "No engine in this recording."


def _short(count: int) -> list[str]:
    length_s = count * HOP_S
    if length_s >= STEADY_S:
        return []
    return [f"{length_s:.1f} s are too short to judge steadiness: record 10 s or more."]


def _doubtful(known: NDArray[np.bool_], followed: NDArray[np.bool_]) -> list[str]:
    doubtful_s = float((followed & ~known).sum()) * HOP_S
    if doubtful_s <= FEW * known.sum() * HOP_S:
        return []
    return [f"For {doubtful_s:.0f} s the speed is too doubtful to give."]


def _another(heard: FollowedSound, followed: NDArray[np.bool_]) -> list[str]:
    """What speaks for another engine than the one that is asked for."""
    said = []
    if float((heard.several_db[followed] > SWELLS_DB).sum()) > SEVERAL_SHARE * followed.sum():
        said.append(
            "Its hiss swells once in several firings: that sounds like an engine of several cylinders."
        )
    if float((heard.bladeless[followed] > BLADELESS_DB).sum()) > BLADELESS_SHARE * followed.sum():
        said.append("No propeller tone where gear ratio and blades put it: this may be another engine.")
    return said


def _several(quarters_db: Floats) -> list[str]:
    if float((quarters_db > QUARTERS_DB).mean()) < SEVERAL_SHARE:
        return []
    return ["Lines at quarters of the firing rate: this may be an engine of several cylinders."]


def _deep(depth: Floats) -> list[str]:
    known = depth[np.isfinite(depth)]
    if not known.size or float(np.median(known)) < AMBIGUOUS:
        return []
    return ["Every second firing nearly fails: half the speed, firing evenly, would sound almost the same."]


def working(rate_hz: Floats, rpm: Floats, sure: Floats) -> Working:
    """The median of what was told, to be done again by hand."""
    known = np.isfinite(rpm)
    rate = float(np.median(rate_hz[known])) if known.any() else float("nan")
    likely = float(sure[known].mean()) if known.any() else 0.0
    return Working(
        title="Engine speed from its sound, median",
        formula="n = 60 * f",
        inputs=(
            Quantity("firing rate f", rate, "Hz", "spacing of the lines in the recording"),
            Quantity("time with a speed", float(known.sum()) * HOP_S, "s"),
            Quantity("mean probability of being within 1 %", likely, "1", "fitted to synthetic recordings"),
        ),
        result=Quantity("engine speed n", 60.0 * rate, "r/min"),
        validity="one engine of one cylinder, two-stroke; 10 s or more of recording to judge steadiness",
        source="one firing a turn; lines of a train of pulses stand at multiples of its rate (Fourier series)",
        authority="computed",
    )
