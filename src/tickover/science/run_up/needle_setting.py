"""Which needle is turned next, which way, and by how much: an eighth at a time, rich first, one screw at a time.

Nothing is turned twice without a run-up in between, and nothing is closed unless the last run-up, at these very
needles, proves it rich: surely four-stroking at full throttle, cool, with nothing that says stop.

References
----------
Order and size of the steps: common practice, no source. The margin for colder air: `mixture` and `mixture_advice`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tickover.science.core import plausible
from tickover.science.core.input_checks import checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.fuel_system.mixture import mixture_change
from tickover.science.fuel_system.mixture_advice import STEP_TURNS, NeedleAdvice, advise
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.fuel_system.needle import TURNS, Needle
from tickover.science.run_up import RunUpFinding, RunUpJudgement, Severity
from tickover.science.run_up.words import four_stroking_words

__all__ = ["NeedleStep", "Needles", "cold_margin", "eighths", "next_step", "span_words"]

WARM_C = 100.0
"""For a type whose sheet has no lowest head temperature: common practice, no source."""
SURE = 1.645
"""Standard uncertainties on one side that leave 5 % beyond them. JCGM 106:2012, table 1."""
EDGE_PERCENT, RICH_PERCENT = 1.0, 40.0
PROVEN_S = 20.0
SAME_TURNS = 0.03
"""A count by eye is no surer than this, about 10 degrees of the screw: from memory."""
NEEDLE = Needle(seat_mm=1.6, half_angle_deg=10.0, pitch_mm=0.5)
"""Illustrative, of no particular carburettor: it only says how much an opening grows with a turn."""
LEAN_AT_IDLE = ("idle-after-burst", "drop-back")
LEAN_AT_FULL = ("cht-full", "egt-full", "cht-rate", "egt-rate")
HOTTER = ("cht-reference-itself", "cht-full-itself", "egt-full-itself")


@dataclass(frozen=True)
class Needles:
    """How far both needles are out from lightly seated. [turns]"""

    low: float
    high: float

    def __post_init__(self) -> None:
        for name in ("low", "high"):
            checked_one(f"turns of the {name} needle", getattr(self, name), *TURNS, "turns")

    @kinds_checked
    def moved(self, other: Needles) -> tuple[str, ...]:
        """Which of them stands elsewhere than in the other."""
        pairs = (("low", self.low, other.low), ("high", self.high, other.high))
        return tuple(name for name, a, b in pairs if abs(a - b) > SAME_TURNS)


@dataclass(frozen=True)
class NeedleStep:
    """What to do next. `turns` are above 0 to open (richer), below 0 to close (leaner); 0 turns nothing. [turns]

    `screw` is "low", "high" or "" for neither; `stop` says that the engine is not run again before a cause is found.
    """

    words: str
    because: str
    screw: str = ""
    turns: float = 0.0
    stop: bool = False


@kinds_checked
def next_step(
    now: Needles | None,
    run: RunUpJudgement | None,
    findings: tuple[RunUpFinding, ...],
    run_at: Needles | None,
    spans: dict[str, tuple[float, float]] | None = None,
    *,
    warm_c: float | None = None,
) -> NeedleStep:
    """The next step of the tuning card.

    Parameters
    ----------
    now : Needles or None
        As they were noted last.
    run : RunUp or None
        The last run-up.
    findings : tuple of Finding
        Its verdicts, by `runup.judge`.
    run_at : Needles or None
        Where the needles stood in it.
    spans : dict, optional
        Usual turns of "low" and "high", from the type sheet. [turns]
    warm_c : float, optional
        Head temperature from which needles are set, from the type sheet; a usual one without it. [°C]

    Returns
    -------
    NeedleStep

    Raises
    ------
    OutOfRangeError
        For a head temperature to set needles at that no engine has.

    Examples
    --------
    >>> next_step(None, None, (), None).words
    'Run it up first: warm, air filter and propeller on, restrained, a minute at full throttle.'
    """
    if warm_c is not None:
        plausible.WARM_C.checked(warm_c)
    step = _before_turning(now, run, findings, run_at, WARM_C if warm_c is None else warm_c)
    if step is not None:
        return step
    assert now is not None and run is not None and run_at is not None
    step = _low(findings) or _high(run, findings)
    if step.turns < 0.0 and (now.low < run_at.low or now.high < run_at.high):
        return NeedleStep(
            "Run it up again before anything is closed.",
            "A needle is a little further in than in the last run-up, and that run-up proves nothing for it.",
        )
    return _within(now, step, spans or {})


@kinds_checked
def cold_margin(turns: float, then: AirOfTheDay, setting: Setting, coldest_k: float) -> NeedleAdvice:
    """How far the high needle is to be opened for the coldest air it will be flown in.

    Parameters
    ----------
    turns : float
        High needle now. [turns]
    then : AirOfTheDay
        Air of the last run-up.
    setting : Setting
        What was in the tank then; its turns and air are replaced by the two above.
    coldest_k : float
        The coldest air, at the same pressure. [K]

    Returns
    -------
    NeedleAdvice

    Raises
    ------
    OutOfRangeError
        Air too far from that of the run-up, or a needle beyond the turns it is known for.

    Examples
    --------
    >>> from tickover.science.fuel_system.fuels import E5, Premix
    >>> then = AirOfTheDay(298.15, 100e3, 0.5)
    >>> found = cold_margin(1.25, then, Setting(1.25, then, Premix(E5, 50.0)), coldest_k=268.15)
    >>> print(f"{found.step_turns:+.3f} turns")
    +0.125 turns
    """
    cold = replace(then, temperature_k=min(coldest_k, then.temperature_k))
    change = mixture_change(Setting(turns, then, setting.premix), cold, setting.premix)
    return advise(change, NEEDLE)


def _before_turning(
    now: Needles | None,
    run: RunUpJudgement | None,
    findings: tuple[RunUpFinding, ...],
    run_at: Needles | None,
    warm_c: float,
) -> NeedleStep | None:
    """What stands before any turn: a danger, a run-up that is missing, needles nobody counted."""
    danger = next((finding for finding in findings if finding.danger), None)
    if danger is not None:
        return NeedleStep("Stop. Turn nothing and do not run it.", f"{danger.seen} {danger.do}", stop=True)
    if run is None:
        return NeedleStep(
            "Run it up first: warm, air filter and propeller on, restrained, a minute at full throttle.",
            "There is no run-up yet, and nothing is set without one.",
        )
    if now is None:
        return NeedleStep(
            "Record both needles: close each with two fingers until it just seats, counting the turns, and "
            "open it again by as many.",
            "Needles not recorded yet.",
        )
    return _since_the_run(now, run_at) or _cold(run, warm_c)


def _since_the_run(now: Needles, run_at: Needles | None) -> NeedleStep | None:
    moved = now.moved(run_at) if run_at else ("low", "high")
    if len(moved) == 2:
        why = "Both needles have been moved since." if run_at else "It has no needle positions."
        return NeedleStep(
            "Run it up again at these needles before anything is turned, then one screw at a time.", why
        )
    if moved:
        return NeedleStep(
            "Run it up again before anything more is turned.",
            f"The {moved[0]} needle was turned since the last run-up.",
        )
    return None


def _cold(run: RunUpJudgement, warm_c: float) -> NeedleStep | None:
    cht = run.measure("cht-full").value
    if cht is not None and cht < warm_c:
        return NeedleStep(
            "Warm it up and run it again.",
            f"The head had {cht:.0f} °C at the end of full throttle; needles are set from {warm_c:.0f} °C on.",
        )
    return None


def _low(findings: tuple[RunUpFinding, ...]) -> NeedleStep | None:
    off = {finding.id: finding for finding in findings if finding.weight is Severity.OUTSIDE}
    lean = next((off[id] for id in LEAN_AT_IDLE if id in off), None)
    if lean is not None:
        return NeedleStep(
            "Test the case for an air leak first. If it is tight, open the low needle an eighth, wait 5 to 8 s, burst "
            "it and record it again.",
            lean.seen,
            "low",
            STEP_TURNS,
        )
    if "bog" in off or "flat-spots" in off:
        seen = off.get("bog") or off["flat-spots"]
        return NeedleStep(
            "Open the low needle an eighth and open the throttle again.", seen.seen, "low", STEP_TURNS
        )
    return None


def _high(run: RunUpJudgement, findings: tuple[RunUpFinding, ...]) -> NeedleStep:
    doubtful = (Severity.OUTSIDE, Severity.CANNOT_TELL)
    hot = next(
        (f for f in findings if f.id in LEAN_AT_FULL and f.side == "high" and f.weight in doubtful), None
    )
    if hot is not None:
        return NeedleStep(
            "Let it cool, open the high needle an eighth and run it up again.", hot.seen, "high", STEP_TURNS
        )
    share = run.measure("four-stroking")
    if share.value is None:
        return NeedleStep(
            "Leave the high needle. Record the sound of a minute at full throttle.",
            "Speed alone does not show rich or lean.",
        )
    heard = four_stroking_words(share)
    if share.value - SURE * share.standard_uncertainty < EDGE_PERCENT:
        return NeedleStep("Open the high needle an eighth and run it up again.", heard, "high", STEP_TURNS)
    return _rich_or_right(run, findings, heard)


def _rich_or_right(run: RunUpJudgement, findings: tuple[RunUpFinding, ...], heard: str) -> NeedleStep:
    share = run.measure("four-stroking")
    assert share.value is not None
    if share.value - SURE * share.standard_uncertainty <= RICH_PERCENT:
        return NeedleStep(
            "Leave the high needle: this is the rich edge it is flown at. Add the margin for colder air.",
            heard,
        )
    hotter = next(
        (f for f in findings if f.id in HOTTER and f.side == "high" and f.weight is not Severity.GOOD), None
    )
    if hotter is not None:
        return NeedleStep(
            "Leave the high needle. It sounds rich and is hotter than it was: check cooling, exhaust and "
            "for an air leak.",
            hotter.seen,
        )
    lasted = share.end_s - share.start_s
    held = any(f.id == "static-change" and f.weight is Severity.GOOD for f in findings)
    if lasted < PROVEN_S or not held or run.measure("cht-full").value is None:
        return NeedleStep(
            "Leave the high needle. Run it up again with a minute at full throttle and the CHT recorded.",
            f"{heard} It is rich, but this run is too short, too unsteady or without CHT to close a needle on.",
        )
    return NeedleStep(
        "The high needle may be closed by one eighth, no more, and is run up at once. At the first sign of climb, heat "
        "or no four-stroking at all: open it again.",
        f"{heard} This run-up proves it rich at these needles, cool and steady.",
        "high",
        -STEP_TURNS,
    )


def _within(now: Needles, step: NeedleStep, spans: dict[str, tuple[float, float]]) -> NeedleStep:
    """A step that leads out of the usual turns is not made: fuel would cover another fault."""
    if not step.screw or step.screw not in spans:
        return step
    fewest, most = spans[step.screw]
    turns = (now.low if step.screw == "low" else now.high) + step.turns
    if fewest - 1e-9 <= turns <= most + 1e-9:
        return step
    return NeedleStep(
        f"Turn nothing. The next step would leave the usual {span_words(fewest, most)}: another fault is being "
        "covered by fuel. Leak tests, metering lever and filters first.",
        step.because,
    )


@kinds_checked
def span_words(fewest: float, most: float) -> str:
    """A span of turns as people read it; `most` may be infinite.

    Parameters
    ----------
    fewest : float
        0 or more. [turns]
    most : float
        0 or more, or infinite. [turns]

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> span_words(0.5, 2.0), span_words(0.5, math.inf)
    ('0.5 to 2 turns', '0.5 turns or more')
    """
    checked("turns", (fewest, most), 0.0, math.inf, "turns", endless=True)
    if math.isinf(most):
        return f"{fewest:g} turns or more"
    return f"{fewest:g} to {most:g} turns"


def eighths(turns: float) -> str:
    """Turns in whole ones and eighths, as they are counted at the screw; 100 at most to either side."""
    whole, part = divmod(round(checked_one("turns", turns, -100.0, 100.0, "turns") / STEP_TURNS), 8)
    if not part:
        return f"{whole:d}"
    shared = math.gcd(part, 8)
    return f"{f'{whole} ' if whole else ''}{part // shared}/{8 // shared}"
