"""How does the engine take the throttle, and how does it come back to idle after a burst?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tickover.science.run_up.measuring.measures import Measure, not_measured
from tickover.science.run_up.measuring.phases import BURST, FULL, IDLE, OPENING, Levels, Phase
from tickover.science.run_up.measuring.trace import Floats, Trace

__all__ = ["opening_measures", "return_measures"]

FINE_ENOUGH_S = 0.25
"""A flat spot lasts some tenths of a second: slower loggers do not see it."""
FLAT_SHARE, FLAT_LEAST_S = 0.15, 0.3
BLURS = 2.0
"""A flat spot shorter than this many times what each speed is listened over is smoothed away."""
U_BOG_PERCENT = 2.0
"""Standard uncertainty of one lowest speed at idle, which hunts: a judgement, no source."""
SETTLED_SHARE = 0.10
LONGEST_RETURN_S = 12.0
SEEN_LEAST_S = 2.0


@dataclass(frozen=True)
class _Return:
    """When the speed began to fall; how long it took, None where it did not settle; why that is not known. [s]"""

    start_s: float
    length_s: float | None
    why_not: str = ""


def opening_measures(trace: Trace, levels: Levels, phases: Sequence[Phase]) -> tuple[Measure, ...]:
    """Time from idle to nine tenths of full, how deep it bogs first, and how long the speed stands on the way."""
    names = (("opening", "Opens in", "s"), ("bog", "Bogs by", "%"), ("flat-spots", "Flat spots", "s"))
    phase = next(
        (p for n, p in enumerate(phases) if p.name == OPENING and n and phases[n - 1].name == IDLE), None
    )
    if phase is None or not levels.both:
        return tuple(not_measured(*name, _no_opening(trace, phases)) for name in names)
    begin, end = phase.start_s - 1.5, phase.end_s + 5.0
    near = trace.within(begin, end)
    t_s, rpm = trace.t_s[near], trace.rpm[near]
    way = levels.full_rpm - levels.idle_rpm
    if unseen := trace.blind(begin, phase.end_s + 0.5):
        return tuple(not_measured(*name, _unseen(unseen, "while it opened")) for name in names)
    leaves = _last_below(t_s, rpm, levels.idle_rpm + 0.15 * way)
    reaches = _first_above(t_s, rpm, levels.idle_rpm + 0.9 * way, leaves)
    took = Measure(
        *names[0],
        reaches - leaves,
        trace.u_at(leaves, reaches),
        leaves,
        reaches,
        "from 15 % to 90 % of the way from idle to full",
    )
    before = rpm[(t_s >= leaves - 1.5) & (t_s <= leaves)]
    dip = 100.0 * max(levels.idle_rpm - float(before.min()), 0.0) / levels.idle_rpm if before.size else 0.0
    bog = Measure(
        *names[1],
        dip,
        U_BOG_PERCENT,
        leaves - 1.5,
        leaves,
        "lowest speed of the 1.5 s before it rises, below idle",
    )
    return took, bog, _flat(trace, names[2], leaves, reaches, way)


def _no_opening(trace: Trace, phases: Sequence[Phase]) -> str:
    """Where idle meets full, the throttle was opened between two samples."""
    for before, after in pairwise(phases):
        if (before.name, after.name) == (IDLE, FULL):
            return _unseen(trace.blind(after.start_s, after.start_s) or trace.step_s, "while it opened")
    return "the run holds no opening from idle to full"


def return_measures(trace: Trace, levels: Levels, phases: Sequence[Phase]) -> tuple[Measure, ...]:
    """Drop-back time after a burst, and by how much the idle stands higher afterwards than before."""
    names = (
        ("drop-back", "Drop-back to idle", "s"),
        ("idle-after-burst", "Idle after a burst, over that before", "rpm"),
    )
    bursts = [p for p in phases if p.name == BURST]
    if not bursts or not levels.both:
        return tuple(not_measured(*name, "the run holds no burst with idle behind it") for name in names)
    found = [_drop_back(trace, levels, burst) for burst in bursts]
    return _returned(trace, names[0], found), _risen(trace, levels, names[1], bursts)


def _returned(trace: Trace, name: tuple[str, str, str], found: list[_Return]) -> Measure:
    seen = [one for one in found if not one.why_not]
    if not seen:
        return not_measured(*name, found[-1].why_not)
    lengths = [one.length_s for one in seen if one.length_s is not None]
    if len(lengths) < len(seen):
        start = next(one.start_s for one in seen if one.length_s is None)
        why = f"after the burst it did not settle at idle within {LONGEST_RETURN_S:.0f} s"
        return Measure(*name, None, 0.0, start, start + LONGEST_RETURN_S, why_not=why)
    scatter = float(np.std(lengths, ddof=1)) / math.sqrt(len(lengths)) if len(lengths) > 1 else 0.0
    last = seen[-1].start_s
    u = math.hypot(scatter, trace.u_at(last, last + lengths[-1]))
    how = f"from 90 % of the peak until it stays within 10 % of idle, median of {len(lengths)}"
    return Measure(*name, float(np.median(lengths)), u, last, last + lengths[-1], how)


def _drop_back(trace: Trace, levels: Levels, burst: Phase) -> _Return:
    inside = np.flatnonzero(trace.within(burst.start_s, burst.end_s))
    peak = float(trace.rpm[inside].max())
    high = inside[trace.rpm[inside] >= peak - 0.1 * (peak - levels.idle_rpm)][-1]
    start = float(trace.t_s[high])
    after = trace.within(start, start + LONGEST_RETURN_S)
    t_s, rpm = trace.t_s[after], trace.rpm[after]
    settled = levels.idle_rpm * (1.0 + SETTLED_SHARE)
    above = np.flatnonzero(rpm > settled)
    # A second burst within reach is not part of this one's return.
    apart = np.flatnonzero(np.diff(above) > max(1, round(1.0 / trace.step_s)))
    last = int(above[apart[0]] if apart.size else above[-1]) if above.size else 0
    settles = last + 1 < rpm.size
    end = float(t_s[last + 1]) if settles else float(t_s[-1])
    if unseen := trace.blind(float(trace.t_s[high]) - 0.5, end):
        return _Return(start, None, _unseen(unseen, "as it fell back"))
    if settles:
        return _Return(start, _crossing(t_s, rpm, last, settled) - start)
    left = float(trace.t_s[-1]) - start
    short = (
        f"the run ends {left:.0f} s after the burst, before it had settled" if left < LONGEST_RETURN_S else ""
    )
    return _Return(start, None, short)


def _unseen(seconds: float, when: str) -> str:
    return f"for {seconds:.1f} s {when} there is no sure speed"


def _risen(trace: Trace, levels: Levels, name: tuple[str, str, str], bursts: list[Phase]) -> Measure:
    """Speeds 3 to 8 s after the last burst against 5 s before the first."""
    first, last = bursts[0].start_s, bursts[-1].end_s
    before = trace.rpm[trace.within(first - 5.0, first - 0.5)]
    after = trace.rpm[trace.within(last + 3.0, last + 8.0)]
    near = levels.idle_rpm + 0.3 * (levels.full_rpm - levels.idle_rpm)
    seen_s = min(before.size, after.size) * trace.step_s
    if min(before.size, after.size) < 3 or seen_s < SEEN_LEAST_S or max(before.max(), after.max()) > near:
        return not_measured(*name, "there is no idle of some seconds before and after the burst")
    u = math.hypot(float(before.std(ddof=1)) / math.sqrt(4.5), float(after.std(ddof=1)) / math.sqrt(5.0))
    higher = float(np.median(after) - np.median(before))
    how = "median 3 to 8 s after the last burst less that of the 5 s before the first"
    return Measure(*name, higher, u, last, last + 8.0, how)


def _flat(trace: Trace, name: tuple[str, str, str], start: float, end: float, way: float) -> Measure:
    if trace.step_s > FINE_ENOUGH_S:
        return not_measured(*name, f"a sample every {trace.step_s:.2g} s is too slow to see a flat spot")
    inside = trace.within(start, end)
    t_s, rpm = trace.t_s[inside], trace.rpm[inside]
    if t_s.size < 4:
        return Measure(*name, 0.0, trace.step_s, start, end, "the opening is shorter than a flat spot")
    slope = np.diff(rpm) / np.diff(t_s)
    usual = 0.75 * way / max(end - start, 1e-9)
    flat, steps = slope < FLAT_SHARE * usual, np.diff(t_s)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], flat.astype(int), [0]))))
    stands = [float(steps[a:b].sum()) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    least = max(FLAT_LEAST_S, BLURS * trace.blur_s)
    total = sum(length for length in stands if length >= least)
    how = f"time on the way up, {least:.2g} s or more at a stretch, with less than 15 % of the mean rise"
    return Measure(*name, total, trace.u_at(start, end), start, end, how)


def _last_below(t_s: Floats, rpm: Floats, level: float) -> float:
    """Time at which the speed leaves a level for good on its first way to the top. [s]"""
    top = int(rpm.argmax())
    below = np.flatnonzero(rpm[: top + 1] <= level)
    return _crossing(t_s, rpm, int(below[-1]), level) if below.size else float(t_s[0])


def _first_above(t_s: Floats, rpm: Floats, level: float, after: float) -> float:
    above = np.flatnonzero((rpm >= level) & (t_s > after))
    return _crossing(t_s, rpm, max(int(above[0]) - 1, 0), level) if above.size else float(t_s[-1])


def _crossing(t_s: Floats, rpm: Floats, at: int, level: float) -> float:
    """Time between sample `at` and the next at which a straight line passes the level. [s]"""
    if at + 1 >= t_s.size or rpm[at + 1] == rpm[at]:
        return float(t_s[at])
    share = min(max((level - rpm[at]) / (rpm[at + 1] - rpm[at]), 0.0), 1.0)
    return float(t_s[at] + share * (t_s[at + 1] - t_s[at]))
