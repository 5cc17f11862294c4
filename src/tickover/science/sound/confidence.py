"""How likely is a firing rate to be right? Evidence in, a probability out.

The probability that a rate is within 1 % is a logistic function of the evidence. Its weights were fitted to
synthetic recordings of known speed (engines in wind, misfiring, four-stroking, hunting, overdriven, with
propellers louder than the exhaust) and of none (speech, music, hum, noise, cars); they have no other source.
The offset and the weights of the propeller were then set by hand, between speeds missed and speeds invented.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from tickover.science.sound.evidence import SpeedEvidence

Floats = NDArray[np.float64]

# Name of the evidence, its weight, and the range beyond which more of it says no more.
WEIGHTS: dict[str, tuple[float, float, float]] = {
    "lines_db": (0.128, -2.0, 5.0),
    "gaps_db": (0.231, -4.0, 2.0),
    "own_db": (0.832, -4.0, 1.0),
    "quarters_db": (-0.521, 0.0, 10.0),
    "sharpness_db": (0.225, 0.0, 4.0),
    "length": (1.587, -1.0, 1.0),
    "slope": (0.936, 0.0, 2.0),
    "roughness": (-3.073, 0.0, 2.0),
    "evenness": (15.135, -1.5, 0.0),
    "lead_db": (0.308, -5.0, 4.0),
    "restless": (-0.255, 0.0, 6.0),
    "geared": (0.9, 0.0, 1.0),
    "bladeless": (-2.4, 0.0, 5.0),
}
NOTHING_KNOWN = -2.2
LIKELY = 0.5
COMPANY_S = 30.0
LEAST_COMPANY = 0.35
ALONE = 0.5
SEVERAL_DB, SEVERAL = 4.5, 0.45


def confidence(evidence: SpeedEvidence) -> Floats:
    """Probability [frames] that the rate is within 1 %; 0 where nothing is followed.

    What sounds like several cylinders gets less than one half: the rate may be right, but not as a speed.
    """
    total = np.full(evidence.lines_db.size, NOTHING_KNOWN)
    for name, (weight, lowest, highest) in WEIGHTS.items():
        total += weight * np.clip(getattr(evidence, name), lowest, highest)
    likely: Floats = np.nan_to_num(1.0 / (1.0 + np.exp(-total)))
    if evidence.several_db is not None:
        likely = np.where(evidence.several_db > SEVERAL_DB, np.minimum(likely, SEVERAL), likely)
    return likely


def in_company(confidence: Floats, hop_s: float) -> Floats:
    """The same, halved where less than 35 % of what is followed within 15 s on each side is likely.

    A word or a note may sound like an engine for a moment; among doubtful moments it is one more of them.
    """
    span = max(min(round(COMPANY_S / hop_s), confidence.size), 1)
    followed, likely = (
        uniform_filter1d(a.astype(np.float64), span, mode="constant")
        for a in (confidence > 0.0, confidence >= LIKELY)
    )
    kept: Floats = np.where(likely < LEAST_COMPANY * followed, ALONE * confidence, confidence)
    return kept
