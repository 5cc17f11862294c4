"""What the tuning card turns, closes and leaves: each threshold from both sides, by measures made here."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tickover.science.fuel_system.fuels import FUELS, Premix
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.run_up import Levels, Measure, RunUpFinding, RunUpJudgement, Severity, Trace
from tickover.science.run_up.needle_setting import Needles, NeedleStep, cold_margin, next_step, span_words

NOW = Needles(1.0, 1.25)
SPANS = {"low": (0.5, 1.75), "high": (0.75, 2.0)}
TRACE = Trace(np.arange(3.0), np.zeros(3))


def run(
    *, cht: float | None = 180.0, share: float | None = 60.0, u: float = 0.0, lasted: float = 60.0
) -> RunUpJudgement:
    """Hot enough, richer than rich, long enough."""
    measures = (
        Measure("cht-full", "", "deg C", cht, 0.0),
        Measure("four-stroking", "", "%", share, u, 10.0, 10.0 + lasted),
    )
    return RunUpJudgement(TRACE, Levels(2000.0, 8000.0), (), measures, {m.id: m for m in measures})


def finding(id: str, weight: Severity = Severity.OUTSIDE, side: str = "") -> RunUpFinding:
    return RunUpFinding(id, weight, f"{id} was seen.", "", "", "Look.", side=side)


HOLDS = finding("static-change", Severity.GOOD)


def step(
    of: RunUpJudgement, *findings: RunUpFinding, now: Needles = NOW, run_at: Needles = NOW, **more: Any
) -> NeedleStep:
    return next_step(now, of, findings, run_at, SPANS, **more)


def turned(*arguments: Any, **more: Any) -> tuple[str, float]:
    told = step(*arguments, **more)
    return told.screw, told.turns


def test_rich_cool_steady_and_long_enough_the_high_needle_is_closed_an_eighth() -> None:
    told = step(run(), HOLDS)
    assert (told.screw, told.turns, told.stop) == ("high", -0.125, False)


@pytest.mark.parametrize(("lasted", "turns"), [(19.9, 0.0), (20.0, -0.125)])
def test_a_needle_is_closed_on_20_seconds_of_proof_and_on_no_less(lasted: float, turns: float) -> None:
    assert step(run(lasted=lasted), HOLDS).turns == turns


@pytest.mark.parametrize(
    "findings",
    [(), (finding("static-change"),), (finding("static-change", Severity.CANNOT_TELL),),
     (finding("other", Severity.GOOD),)],
)  # fmt: skip
def test_a_speed_that_does_not_hold_proves_nothing(findings: tuple[RunUpFinding, ...]) -> None:
    assert step(run(), *findings).turns == 0.0


def test_without_a_head_temperature_nothing_is_closed() -> None:
    assert step(run(cht=None), HOLDS).turns == 0.0


# One-sided 95 %: 1.645 standard uncertainties. JCGM 106:2012, table 1.
@pytest.mark.parametrize(
    ("share", "u", "turns"),
    [
        (40.0, 0.0, 0.0),
        (40.01, 0.0, -0.125),
        (40.0 + 16.45 - 0.01, 10.0, 0.0),
        (40.0 + 16.45 + 0.01, 10.0, -0.125),
        (1.0, 0.0, 0.0),
        (0.99, 0.0, 0.125),
        (1.0 + 3.29 + 0.01, 2.0, 0.0),
        (1.0 + 3.29 - 0.01, 2.0, 0.125),
    ],
)
def test_rich_and_lean_are_95_percent_sure(share: float, u: float, turns: float) -> None:
    assert turned(run(share=share, u=u), HOLDS) == ("high" if turns else "", turns)


def test_a_run_without_sound_turns_nothing() -> None:
    assert turned(run(share=None), HOLDS) == ("", 0.0)


@pytest.mark.parametrize(("cht", "warm_c", "cold"), [
    (99.9, None, True), (100.0, None, False),
    (119.9, 120.0, True), (120.0, 120.0, False),
    (79.9, 80.0, True), (80.0, 80.0, False),
])  # fmt: skip
def test_cold_it_is_not_set_and_the_figure_of_the_type_goes_before_ours(
    cht: float, warm_c: float | None, cold: bool
) -> None:
    told = step(run(cht=cht), HOLDS, warm_c=warm_c)
    assert ("Warm it up" in told.words) is cold and bool(told.turns) is not cold


@pytest.mark.parametrize("id", ["cht-full", "egt-full", "cht-rate", "egt-rate"])
@pytest.mark.parametrize("weight", [Severity.OUTSIDE, Severity.CANNOT_TELL])
def test_hot_or_perhaps_hot_is_met_by_opening(id: str, weight: Severity) -> None:
    assert turned(run(), HOLDS, finding(id, weight, "high")) == ("high", 0.125)


@pytest.mark.parametrize("id", ["cht-full", "egt-full"])
def test_below_its_limit_is_no_heat(id: str) -> None:
    # A pipe that is too cool at full throttle is a sign of rich, never of lean.
    assert turned(run(share=10.0), HOLDS, finding(id, Severity.OUTSIDE, "low")) == ("", 0.0)


@pytest.mark.parametrize("id", ["cht-full", "egt-full", "cht-rate", "egt-rate"])
def test_a_temperature_in_order_is_no_reason_to_open(id: str) -> None:
    assert turned(run(share=10.0), HOLDS, finding(id, Severity.GOOD)) == ("", 0.0)


@pytest.mark.parametrize("id", ["cht-reference-itself", "cht-full-itself", "egt-full-itself"])
def test_hotter_than_it_was_nothing_is_closed(id: str) -> None:
    hotter = finding(id, Severity.UNLIKE_ITSELF, "high")
    assert "hotter than it was" in step(run(), HOLDS, hotter).words
    assert step(run(), HOLDS, finding(id, Severity.GOOD, "high")).turns == -0.125
    assert step(run(), HOLDS, finding(id, Severity.UNLIKE_ITSELF, "low")).turns == -0.125


@pytest.mark.parametrize("id", ["idle-after-burst", "drop-back", "bog", "flat-spots"])
def test_signs_of_a_lean_idle_open_the_low_needle_before_the_high_one_is_looked_at(id: str) -> None:
    assert turned(run(), HOLDS, finding(id)) == ("low", 0.125)
    assert step(run(), HOLDS, finding(id)).because == f"{id} was seen."
    assert turned(run(), HOLDS, finding(id, Severity.CANNOT_TELL)) == ("high", -0.125)


def test_a_danger_stops_whatever_else_is_known() -> None:
    told = step(run(), HOLDS, finding("cht-stop", Severity.DANGER))
    assert told.stop and (told.screw, told.turns) == ("", 0.0)
    assert not step(run(), HOLDS).stop


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (Needles(1.0, 1.2801), "The high needle was turned"),
        (Needles(1.0301, 1.25), "The low needle was turned"),
        (Needles(0.9699, 1.25), "The low needle was turned"),
        (Needles(1.0301, 1.2801), "Both needles"),
    ],
)
def test_a_needle_turned_since_the_run_wants_another_run(now: Needles, words: str) -> None:
    told = step(run(), HOLDS, now=now)
    assert words in told.because and (told.screw, told.turns) == ("", 0.0)


@pytest.mark.parametrize("now", [Needles(1.0299, 1.25), Needles(1.0, 1.2799)])
def test_counts_by_eye_may_differ_by_a_thirtieth_of_a_turn_to_the_rich_side(now: Needles) -> None:
    assert step(run(), HOLDS, now=now).turns == -0.125


@pytest.mark.parametrize("now", [Needles(1.0, 1.2499), Needles(0.9999, 1.25)])
def test_a_needle_a_little_further_in_than_the_run_proved_is_not_closed(now: Needles) -> None:
    assert turned(run(), HOLDS, now=now) == ("", 0.0)
    assert turned(run(share=0.0), HOLDS, now=now) == ("high", 0.125)


def test_a_run_that_does_not_say_where_the_needles_were_proves_nothing() -> None:
    told = next_step(NOW, run(), (HOLDS,), None, SPANS)
    assert told.turns == 0.0 and "no needle positions" in told.because


@pytest.mark.parametrize(
    ("high", "turns"), [(0.875, -0.125), (0.8749, 0.0)]
)  # 3/4 turn is the least of the type
def test_a_needle_is_not_closed_beyond_the_turns_of_the_type(high: float, turns: float) -> None:
    at = Needles(1.0, high)
    assert step(run(), HOLDS, now=at, run_at=at).turns == turns


@pytest.mark.parametrize(("high", "turns"), [(1.875, 0.125), (1.8751, 0.0)])
def test_nor_opened_beyond_them(high: float, turns: float) -> None:
    at = Needles(1.0, high)
    assert step(run(share=0.0), HOLDS, now=at, run_at=at).turns == turns


@pytest.mark.parametrize(("low", "turns"), [(1.625, 0.125), (1.6251, 0.0)])
def test_the_low_needle_has_its_own_turns(low: float, turns: float) -> None:
    at = Needles(low, 5.0)
    assert step(run(), HOLDS, finding("bog"), now=at, run_at=at).turns == turns


def test_a_type_with_a_least_alone_holds_to_it() -> None:
    told = next_step(NOW, run(), (HOLDS,), NOW, {"high": (1.2, math.inf)})
    assert told.turns == 0.0 and "1.2 turns or more" in told.words
    assert next_step(NOW, run(share=0.0), (HOLDS,), NOW, {"high": (1.2, math.inf)}).turns == 0.125


def test_a_type_without_turns_for_this_needle_sets_none() -> None:
    assert next_step(NOW, run(), (HOLDS,), NOW, {"low": (5.0, 6.0)}).turns == -0.125
    assert next_step(NOW, run(), (HOLDS,), NOW).turns == -0.125


def test_spans_are_read_as_people_say_them() -> None:
    assert (span_words(0.75, 2.0), span_words(0.75, math.inf)) == ("0.75 to 2 turns", "0.75 turns or more")


THEN = AirOfTheDay(283.15, 101_325.0, 0.5)
SETTING = Setting(1.25, THEN, Premix(FUELS["e5"], 50.0))


def test_the_margin_is_for_air_colder_than_that_of_the_run_up_alone() -> None:
    # "Coldest" above the air of the run-up is that air itself: no margin, and no hint that there is room to close.
    warmer = cold_margin(1.25, THEN, SETTING, 310.0)
    assert (
        warmer.change.percent == 0.0
        and warmer.exact_turns == pytest.approx(0.0, abs=1e-9)
        and warmer.step_turns == 0.0
    )
    colder = cold_margin(1.25, THEN, SETTING, 273.15)
    assert colder.change.percent < -1.0 and colder.step_turns == 0.125


def test_the_margin_is_reckoned_from_the_needle_and_the_air_of_now() -> None:
    # The root law by hand: 1 - sqrt(273.15/283.15) = 1.8 % leaner, and drier air by a little.
    margin = cold_margin(1.5, THEN, Setting(0.5, AirOfTheDay(303.15, 90_000.0, 0.1), SETTING.premix), 273.15)
    assert margin.turns == 1.625 and 1.6 < -margin.change.percent < 2.4


def test_the_turns_of_the_margin_are_those_of_a_cone_in_its_seat() -> None:
    # By hand: a cone of 10 degrees half angle lifted by h out of a seat of 1.6 mm, 0.5 mm to the turn, leaves
    # pi h sin(a) (1.6 - h sin(a) cos(a)).
    def area_mm2(turns: float) -> float:
        lift, angle = 0.5 * turns, math.radians(10.0)
        return math.pi * lift * math.sin(angle) * (1.6 - lift * math.sin(angle) * math.cos(angle))

    margin = cold_margin(1.25, THEN, SETTING, 263.15)
    opened = margin.change.then.turns + margin.exact_turns
    assert area_mm2(opened) / area_mm2(1.25) == pytest.approx(1.0 / margin.change.ratio, rel=1e-6)


def test_exactly_a_count_by_eye_apart_is_the_same_needle() -> None:
    assert Needles(0.03, 1.0).moved(Needles(0.0, 1.0)) == ()
    assert Needles(0.0, 1.0).moved(Needles(0.0, 1.0301)) == ("high",)


def test_a_needle_a_little_further_in_is_left_where_nothing_would_be_closed() -> None:
    assert "rich edge" in step(run(share=10.0), HOLDS, now=Needles(1.0, 1.24)).words
