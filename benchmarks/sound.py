"""Engine speed from sound, here and with pYIN of the library librosa, in one run: error, octaves, speed."""

from __future__ import annotations

import time
from collections.abc import Callable
from importlib.metadata import version

import librosa
import numpy as np
from numpy.typing import NDArray

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound import SoundSettings, track_rpm

Floats = NDArray[np.float64]

RATE_HZ = 8000
LENGTH_S = 15
HOP = RATE_HZ // 20
RECORDINGS = {
    "idle": ((2050, 2050), Sounding(wander=0.015, timing=0.012, propeller=0.02)),
    "cruise": ((6400, 6400), Sounding()),
    "opening and closing": ((2000, 2000, 8000, 8000, 2200), Sounding()),
    "thrown open": ((2200,) * 6 + (7600,) * 6, Sounding()),
    "four-stroking": ((4200, 4200), Sounding(weaker=0.7, timing=0.015)),
    "wind": ((5200, 5200), Sounding(wind=0.6)),
    "loud propeller": ((5900, 5900), Sounding(propeller=1.2, gear_ratio=2.8)),
    "misfires": ((4700, 4700), Sounding(failing=0.2, timing=0.025, strength=0.35, wind=0.2)),
    "overdriven": ((7300, 7300), Sounding(overdrive=4.0, propeller=0.4)),
}


def ours(samples: NDArray[np.float32], sounding: Sounding) -> Floats:
    """Engine speed in each frame of 0.05 s. [r/min]"""
    return track_rpm(samples, RATE_HZ, SoundSettings(sounding.gear_ratio, sounding.blades)).rpm


def theirs(samples: NDArray[np.float32], sounding: Sounding) -> Floats:
    """The same from the pitch that pYIN finds between 15 and 200 Hz."""
    pitch_hz, voiced, _ = librosa.pyin(
        samples, fmin=15.0, fmax=200.0, sr=RATE_HZ, frame_length=4096, hop_length=HOP
    )
    return np.where(voiced, 60.0 * pitch_hz, np.nan)


def main() -> None:
    """Print, for both: share of frames told, median error, share within 1 %, octave errors, times real time."""
    listeners = {"tickover": ours, f"librosa {version('librosa')} pyin": theirs}
    for listen in listeners.values():
        listen(np.sin(np.arange(2.0 * RATE_HZ) / 10.0).astype(np.float32), Sounding())
    print(f"{'':22}{'':22}  told  median err  within 1 %  half/double  real time")
    for name, (points, sounding) in RECORDINGS.items():
        rpm = np.interp(np.linspace(0, len(points) - 1, LENGTH_S * RATE_HZ), range(len(points)), points)
        samples, truth = engine_sound(np.random.default_rng(1), rpm, RATE_HZ, sounding)
        for who, listen in listeners.items():
            print(f"{name:22}{who:22}{_row(listen, samples, sounding, truth)}")
            name = ""


def _row(
    listen: Callable[[NDArray[np.float32], Sounding], Floats],
    samples: NDArray[np.float32],
    sounding: Sounding,
    truth: Floats,
) -> str:
    begin = time.process_time()
    found = listen(samples, sounding)
    took_s = time.process_time() - begin
    ratio = found / truth[np.minimum(np.arange(found.size) * HOP, truth.size - 1)]
    ratio = ratio[np.isfinite(ratio)]
    error = np.abs(ratio - 1.0)
    octave = (np.abs(ratio - 0.5) < 0.05) | (np.abs(ratio - 2.0) < 0.15)
    told = ratio.size / found.size
    if not ratio.size:
        return f"{told:6.0%}{'':38}{LENGTH_S / took_s:9.0f} x"
    return (
        f"{told:6.0%}{np.median(error):12.2%}{(error < 0.01).mean():12.0%}"
        f"{octave.mean():13.0%}{LENGTH_S / took_s:10.0f} x"
    )


if __name__ == "__main__":
    main()
