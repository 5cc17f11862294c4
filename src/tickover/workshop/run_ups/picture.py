"""The run-up strip of a run: its channels, its baseline as bands, its findings as numbered marks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tickover.science.run_up import RunUpFinding, RunUpJudgement, Severity
from tickover.workshop.drawings.run_strip import Band, Mark, Strip, run_strip
from tickover.workshop.run_ups.queries import Opened

BANDS = (("idle-rpm", "idle"), ("static-rpm-20", "full"))
MARKED = (Severity.DANGER, Severity.OUTSIDE, Severity.CANNOT_TELL, Severity.UNLIKE_ITSELF)
SHORTEST_S = 0.5


@dataclass(frozen=True)
class NumberedFinding:
    """A finding and the number of its mark on the strip, 0 for none."""

    finding: RunUpFinding
    number: int


def numbered_findings(findings: tuple[RunUpFinding, ...]) -> list[NumberedFinding]:
    """Findings with their numbers, in their order."""
    numbered, number = [], 0
    for finding in findings:
        on_strip = finding.weight in MARKED and finding.end_s > 0.0
        number += on_strip
        numbered.append(NumberedFinding(finding, number if on_strip else 0))
    return numbered


def strip_of(opened: Opened) -> Strip:
    """Everything of a run that its strip shows."""
    trace = opened.read.run.trace
    marks = [
        Mark(t.number, t.finding.start_s, t.finding.end_s, t.finding.seen)
        for t in numbered_findings(opened.findings)
        if t.number
    ]
    name = f"{opened.line.run.engine.name}, {opened.line.run.on_day:%d %b %Y}"
    run = opened.read.run
    return Strip(name, trace.t_s, trace.rpm, trace.cht_c, trace.egt_c, run.phases, _bands(opened), marks)


def picture(opened: Opened, window: tuple[float, float] | None = None) -> str:
    """The strip as SVG."""
    return run_strip(strip_of(opened), window)


def overlaid(first: Opened, second: Opened) -> str:
    """Two runs over one another, the second moved so that full throttle begins at one moment in both."""
    one, two = replace(strip_of(first), bands=()), strip_of(second)  # a band would be taken for a third line
    moved = start_of_full(first.read.run) - start_of_full(second.read.run)
    other = Strip(two.name, two.t_s + moved, two.rpm, two.cht_c, two.egt_c)
    return run_strip(one, None, other)


def start_of_full(run: RunUpJudgement) -> float:
    """When full throttle begins, else the start of the run. [s]"""
    full = max((p for p in run.phases if p.name == "full"), key=lambda p: p.length_s, default=None)
    return full.start_s if full else 0.0


def window_of(asked: tuple[str, str], length_s: float) -> tuple[float, float] | None:
    """The part of a run that was asked for, cut to the run; None for the whole."""
    try:
        start, end = (float(text) for text in asked)
    except ValueError:
        return None
    if not (np.isfinite(start) and np.isfinite(end)):
        return None
    start, end = max(start, 0.0), min(end, length_s)
    return (start, end) if end - start >= SHORTEST_S else None


def moves(window: tuple[float, float] | None, length_s: float) -> list[tuple[str, float, float]]:
    """Where a reader may go from here without a script: closer, wider, earlier, later."""
    start, end = window or (0.0, length_s)
    half = (end - start) / 2.0
    middle = start + half
    found = [("Closer", middle - half / 2.0, middle + half / 2.0)]
    if window:
        found += [
            ("Wider", max(middle - 2.0 * half, 0.0), min(middle + 2.0 * half, length_s)),
            ("Earlier", max(start - half, 0.0), max(start - half, 0.0) + 2.0 * half),
            ("Later", min(end + half, length_s) - 2.0 * half, min(end + half, length_s)),
        ]
    return [(name, round(a, 2), round(b, 2)) for name, a, b in found]


def _bands(opened: Opened) -> list[Band]:
    bands = []
    for id, name in BANDS:
        baseline = opened.baseline.get(id)
        if baseline is None or not baseline.enough:
            continue
        lower, upper = baseline.interval(opened.read.run.measure(id).standard_uncertainty)
        bands += [Band(p.start_s, p.end_s, lower, upper) for p in opened.read.run.phases if p.name == name]
    return bands
