"""Run-ups of known truth, made here from a seed: phases, figures, verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science import run_up
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.run_up import (
    Against,
    RunUpJudgement,
    Severity,
    analyse,
    answer,
    baseline_of,
    judge,
    make_trace,
)
from tickover.science.run_up.baseline import Baseline

LIMITS = {
    "idle-rpm": Against(1700.0, 2500.0, 15.0, 10.0, authority="from memory"),
    "static-rpm": Against(7200.0, 8800.0, 25.0, 10.0, authority="from memory"),
    "cht": Against(120.0, 230.0, 3.0, 1.0, authority="from memory", never_above=250.0),
}


@dataclass(frozen=True)
class Truth:
    """A run-up as it really was: 20 s idle, burst, 20 s idle, opening, `full_s` full, closing, 15 s idle, stop."""

    idle: float = 2050.0
    full: float = 7900.0
    change_in_a_minute: float = 0.0
    drop_back_s: float = 1.0
    idle_after: float = 0.0
    opening_s: float = 1.2
    full_s: float = 65.0
    hunts: float = 15.0
    cht: float = 185.0
    hz: float = 10.0
    step_at_s: float = -1.0
    step_rpm: float = 0.0

    @property
    def opens_at(self) -> float:
        return 45.0 + self.drop_back_s

    @property
    def full_from(self) -> float:
        return self.opens_at + self.opening_s

    def knots(self) -> list[tuple[float, float]]:
        back = 25.0 + self.drop_back_s
        end = self.full_from + self.full_s
        after = self.idle + self.idle_after
        return [
            (0, 0), (2, 0), (2.5, self.idle), (24, self.idle), (24.4, 6500), (25, 6500), (back, after),
            (self.opens_at, after), (self.full_from, self.full),
            (end, self.full + self.change_in_a_minute * self.full_s / 60.0),
            (end + 2, self.idle), (end + 17, self.idle), (end + 18, 0), (end + 20, 0),
        ]  # fmt: skip

    def run(self, seed: int = 1, **more: Any) -> RunUpJudgement:
        t = np.arange(0.0, self.knots()[-1][0], 1.0 / self.hz)
        rpm = np.interp(t, *zip(*self.knots(), strict=True))
        rpm = np.where(rpm > 0, rpm + np.random.default_rng(seed).normal(0.0, self.hunts, t.size), 0.0).clip(
            0.0
        )
        if self.step_at_s > 0:
            rpm[(t > self.full_from + self.step_at_s) & (t < self.full_from + self.full_s)] += self.step_rpm
        warmed = np.clip(t - self.full_from, 0.0, self.full_s)
        cht = 90.0 + (self.cht - 90.0) * (1.0 - np.exp(-warmed / 15.0))
        return analyse(make_trace(t, rpm, cht_c=cht, **more), 8000.0)


def names(run: RunUpJudgement) -> list[str]:
    return [phase.name for phase in run.phases]


def found(run: RunUpJudgement, id: str, baseline: dict[str, Baseline] | None = None) -> run_up.RunUpFinding:
    return next(f for f in judge(run, LIMITS, baseline) if f.id == id)


def value(run: RunUpJudgement, id: str) -> float:
    measured = run.measure(id).value
    assert measured is not None
    return measured


def test_the_phases_of_a_run_up_are_named_in_their_order() -> None:
    assert names(Truth().run()) == [
        "stopped", "idle", "burst", "idle", "opening", "full", "closing", "idle", "stopped"
    ]  # fmt: skip


def test_phases_touch_and_cover_the_run() -> None:
    run = Truth().run()
    ends = [phase.end_s for phase in run.phases]
    assert [phase.start_s for phase in run.phases[1:]] == ends[:-1]
    assert (run.phases[0].start_s, ends[-1]) == (0.0, run.trace.t_s[-1])


@pytest.mark.parametrize("seed", range(5))
def test_what_is_measured_is_what_it_was_within_four_standard_uncertainties(seed: int) -> None:
    truth = Truth(change_in_a_minute=-60.0)
    run = truth.run(seed)
    # The middle of the window about 20 s after 85 % of the way to full was passed.
    at = {id: run.measure(id).start_s + 2.0 - truth.full_from for id in ("static-rpm-20", "static-rpm-60")}
    for id, true in {
        "idle-rpm": truth.idle,
        "idle-steadiness": truth.hunts,
        "static-change": -60.0,
        "idle-after-burst": 0.0,
        **{id: truth.full - seconds for id, seconds in at.items()},
    }.items():
        measure = run.measure(id)
        assert measure.value == pytest.approx(true, abs=4.0 * measure.standard_uncertainty + 1.0), id


@pytest.mark.parametrize("drop_back_s", [0.6, 1.5, 2.8, 5.0])
@pytest.mark.parametrize("hz", [4.0, 10.0, 20.0])
def test_the_drop_back_is_timed_by_hand(drop_back_s: float, hz: float) -> None:
    # By hand: a straight fall from 6500 to 2050 rpm is at 90 % of the way after a tenth of it, and within 10 % of
    # idle (2255 rpm) after 1 - 205/4450 of it.
    run = Truth(drop_back_s=drop_back_s, hz=hz).run()
    by_hand = drop_back_s * (1.0 - 205.0 / 4450.0)
    assert value(run, "drop-back") == pytest.approx(by_hand, abs=0.12 * drop_back_s + 1.5 / hz)


@pytest.mark.parametrize("opening_s", [0.8, 2.0, 4.0])
def test_the_opening_is_timed_by_hand(opening_s: float) -> None:
    assert value(Truth(opening_s=opening_s).run(), "opening") == pytest.approx(0.75 * opening_s, abs=0.12)


def test_a_good_run_is_inside_and_says_what_is_not_known_yet() -> None:
    verdicts = judge(Truth().run(), LIMITS)
    assert {f.weight for f in verdicts} == {Severity.GOOD, Severity.MEASURE_NEXT}
    unknown = "no baseline for this engine yet"
    assert answer(verdicts) == f"Inside its limits (idle, static rpm, CHT); {unknown}."


def test_a_run_judged_by_no_limit_is_not_called_inside() -> None:
    unknown = "no baseline for this engine yet"
    assert answer(judge(Truth().run())) == f"No limits to judge by; {unknown}."
    own = baseline_of([Truth(full=full).run(n).figures for n, full in enumerate((7880.0, 7900.0, 7925.0))])
    alone = tuple(f for f in judge(Truth().run(), {}, own) if f.weight is Severity.GOOD)
    assert answer(alone) == "No limits to judge by; runs as before."
    assert answer(()) == "No limits to judge by; some figures not measured."


def test_the_answer_names_the_limits_that_were_judged_and_no_others() -> None:
    idle_and_exhaust = {"idle-rpm": LIMITS["idle-rpm"], "egt": Against(None, 650.0, 6.0, 1.0)}
    assert answer(judge(Truth().run(), idle_and_exhaust)).startswith("Inside its limits (idle); ")
    assert answer(judge(Truth().run(), {"egt": idle_and_exhaust["egt"]})).startswith(
        "No limits to judge by; "
    )


@pytest.mark.parametrize("id", ["idle_rpm", "static-rpm-20", "CHT", "", "cht-full"])
def test_a_limit_that_no_run_up_is_judged_by_is_refused(id: str) -> None:
    with pytest.raises(OutOfRangeError, match=r"id of a limit must be one of idle-rpm, static-rpm, cht, egt"):
        judge(Truth().run(), {**LIMITS, id: LIMITS["idle-rpm"]})


def test_danger_and_what_is_outside_are_answered_before_any_limit_is_named() -> None:
    assert answer(judge(Truth(cht=262.0).run())).startswith("Stop.")
    assert answer(judge(Truth(drop_back_s=5.0).run())).startswith("Drop")


@pytest.mark.parametrize(
    ("truth", "id", "weight"),
    [
        (Truth(cht=262.0), "cht-stop", Severity.DANGER),
        (Truth(change_in_a_minute=250.0), "climbs-at-full", Severity.DANGER),
        (Truth(step_at_s=30.0, step_rpm=-700.0), "steps-at-full", Severity.DANGER),
        (Truth(step_at_s=30.0, step_rpm=600.0), "steps-at-full", Severity.DANGER),
        (Truth(cht=240.0), "cht-full", Severity.OUTSIDE),
        (Truth(cht=231.0), "cht-full", Severity.CANNOT_TELL),
        (Truth(full=6900.0), "static-rpm-20", Severity.OUTSIDE),
        (Truth(full=7220.0), "static-rpm-20", Severity.CANNOT_TELL),
        (Truth(idle=2700.0), "idle-rpm", Severity.OUTSIDE),
        (Truth(drop_back_s=5.0), "drop-back", Severity.OUTSIDE),
        (Truth(idle_after=400.0), "idle-after-burst", Severity.OUTSIDE),
        (Truth(change_in_a_minute=-400.0), "static-change", Severity.OUTSIDE),
    ],
)
def test_what_is_wrong_is_found(truth: Truth, id: str, weight: Severity) -> None:
    assert found(truth.run(), id).weight is weight


@pytest.mark.parametrize(("factor", "danger"), [(2.5, True), (1.2, False)])
def test_a_step_of_the_vibration_says_stop(factor: float, danger: bool) -> None:
    t_s = Truth().run().trace.t_s
    level = 4.0 * np.where(t_s > Truth().full_from + 30.0, factor, 1.0)
    shaken = level + np.random.default_rng(6).normal(0.0, 0.15, t_s.size)
    verdicts = judge(Truth().run(vibration=shaken), LIMITS)
    assert (verdicts[0].id == "shakes-at-full") is danger
    assert not danger or ("from 4" in verdicts[0].seen and verdicts[0].do.startswith("Stop"))


def test_a_type_that_may_run_hotter_stops_at_its_own_limit() -> None:
    hotter = {**LIMITS, "cht": Against(120.0, 270.0, 3.0, 1.0, authority="maker")}
    assert not any(f.danger for f in judge(Truth(cht=262.0).run(), hotter))
    first = judge(Truth(cht=280.0).run(), hotter)[0]
    assert first.id == "cht-stop" and "270 °C (the type’s limit, maker)" in first.against


def test_a_head_that_had_not_settled_is_not_called_inside_for_good() -> None:
    # 222 °C after 65 s and 2.7 °C/min more from a head that lags by 15 s; held 25 s it still rises by 60 °C/min.
    short = found(Truth(cht=226.0, full_s=25.0).run(), "cht-rate")
    assert short.weight is Severity.CANNOT_TELL and "if it went on so" in short.seen and short.do
    assert found(Truth(cht=200.0).run(), "cht-rate").weight is Severity.GOOD


def test_a_climb_that_is_not_sure_is_told_and_measured_again() -> None:
    finding = found(Truth(change_in_a_minute=95.0, hunts=90.0).run(4), "static-change")
    assert finding.weight is Severity.CANNOT_TELL and finding.side == "high" and "once more" in finding.do


def test_the_answer_tells_what_matters_most_and_how_much_more_there_is() -> None:
    own = baseline_of([Truth(full=full).run(n).figures for n, full in enumerate((7880.0, 7900.0, 7925.0))])
    told = answer(judge(Truth(full=7600.0, idle=2300.0).run(9), LIMITS, own))
    assert (
        told.startswith("Static rpm at 20 s: 7600 rpm, 300 rpm below its usual mean")
        and "2 more like it" in told
    )


def test_a_danger_comes_first_and_says_stop() -> None:
    verdicts = judge(Truth(cht=262.0, full=6900.0).run(), LIMITS)
    assert verdicts[0].danger and verdicts[0].do.startswith("Stop") and answer(verdicts).startswith("Stop.")
    assert [f.weight for f in verdicts] == sorted(f.weight for f in verdicts)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1500.0, 2600.0), st.floats(6500.0, 9500.0), st.floats(-500.0, 500.0), st.floats(150.0, 280.0),
    st.integers(0, 10_000),
)  # fmt: skip
def test_no_verdict_ever_says_to_close_a_needle(
    idle: float, full: float, change: float, cht: float, seed: int
) -> None:
    verdicts = judge(Truth(idle=idle, full=full, change_in_a_minute=change, cht=cht).run(seed), LIMITS)
    for finding in verdicts:
        told = finding.do.lower().replace("do not close a needle", "")
        assert "close the high" not in told and "close the low" not in told and "lean it" not in told


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(5.0, 60.0))
def test_a_run_in_good_order_raises_no_alarm(seed: int, hunts: float) -> None:
    assert not any(finding.danger for finding in judge(Truth(hunts=hunts).run(seed), LIMITS))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.0, 12_000.0), min_size=40, max_size=200), st.floats(0.05, 1.5))
def test_any_speeds_at_all_give_phases_that_cover_them(speeds: Sequence[float], step_s: float) -> None:
    t_s = np.arange(len(speeds)) * step_s
    if 0.0 < max(speeds) < 150.0:
        return  # turns a second, and refused: see the next test
    try:
        run = analyse(make_trace(t_s, speeds))
    except InsufficientDataError:
        return
    assert run.phases[0].start_s == 0.0 and run.phases[-1].end_s == pytest.approx(t_s[-1])
    assert all(a.end_s == b.start_s for a, b in zip(run.phases, run.phases[1:], strict=False))
    judge(run, LIMITS)


@pytest.mark.parametrize(("highest", "refused"), [(1.0, True), (149.9, True), (150.0, False)])
def test_a_run_that_never_turns_faster_than_a_starter_is_in_turns_a_second(
    highest: float, refused: bool
) -> None:
    speeds = np.append(np.zeros(39), highest)
    if refused:
        with pytest.raises(OutOfRangeError, match="revolutions a minute are wanted"):
            make_trace(np.arange(40.0), speeds)
    else:
        assert make_trace(np.arange(40.0), speeds).rpm.size == 40


def test_a_slow_logger_does_not_claim_to_see_a_flat_spot() -> None:
    measure = Truth(hz=1.0).run().measure("flat-spots")
    assert measure.value is None and "too slow" in measure.why_not


def test_half_a_minute_at_full_has_no_figure_at_60_s() -> None:
    run = Truth(full_s=30.0).run()
    assert run.measure("static-rpm-60").value is None and run.measure("static-rpm-20").value is not None


@pytest.mark.parametrize("full_s", [20.0, 20.5, 21.0, 22.0, 61.0])
def test_a_throttle_closed_soon_after_is_no_part_of_a_static_speed(full_s: float) -> None:
    run = Truth(full_s=full_s).run()
    for id in ("static-rpm-20", "static-rpm-60"):
        figure = run.measure(id)
        assert figure.value is None or figure.value == pytest.approx(Truth().full, abs=15.0)
    assert run.measure("static-rpm-20").value is not None


def test_an_engine_that_never_left_idle_is_not_judged_at_full() -> None:
    t_s = np.arange(0.0, 60.0, 0.2)
    run = analyse(make_trace(t_s, 2000.0 + np.sin(t_s)), 8000.0)
    assert names(run) == ["idle"] and run.measure("static-rpm-20").value is None
    assert found(run, "static-rpm-20-next").weight is Severity.MEASURE_NEXT


def test_single_wild_samples_are_the_pick_up_and_no_jump() -> None:
    truth = Truth()
    run = truth.run()
    wild = run.trace.rpm.copy()
    wild[600] = 14_000.0
    again = analyse(make_trace(run.trace.t_s, wild), 8000.0)
    assert again.trace.remarks and not any(f.danger for f in judge(again))


def test_a_hole_in_the_data_is_no_phase_of_its_own() -> None:
    run = Truth().run()
    keep = (run.trace.t_s < 80.0) | (run.trace.t_s > 84.0)
    held = analyse(make_trace(run.trace.t_s[keep], run.trace.rpm[keep]), 8000.0)
    assert names(held) == names(run) and len(held.trace.holes) == 1


@pytest.mark.parametrize(
    ("share", "weight"), [(0.0, Severity.UNLIKE_ITSELF), (0.1, Severity.GOOD), (0.8, Severity.UNLIKE_ITSELF)]
)
def test_four_stroking_is_a_share_of_the_time_at_full(share: float, weight: Severity) -> None:
    size = Truth().run().trace.t_s.size
    heard = np.random.default_rng(3).random(size) < share
    run = Truth().run(four_stroking=heard.astype(float))
    assert value(run, "four-stroking") == pytest.approx(100.0 * share, abs=6.0)
    assert found(run, "four-stroking").weight is weight


def test_where_nothing_four_strokes_it_is_said_in_words() -> None:
    run = Truth().run(four_stroking=np.zeros_like(Truth().run().trace.t_s))
    assert found(run, "four-stroking").seen == "No four-stroking at full throttle."


@pytest.mark.parametrize(
    ("t_s", "rpm", "error", "says"),
    [
        ([0.0, 1.0, 1.0], [1.0, 2.0, 3.0], OutOfRangeError, "increase"),
        ([0.0, 1.0], [1.0, 2.0, 3.0], OutOfRangeError, "one length"),
        (np.arange(30.0), np.full(30, -5.0), OutOfRangeError, "between 0 and"),
        (np.arange(3.0), np.full(3, 2000.0), InsufficientDataError, "at least 10 s"),
        (np.arange(30.0), np.full(30, np.nan), InsufficientDataError, "at least 10 s"),
        (np.arange(30.0), np.zeros(30), InsufficientDataError, "never turns faster"),
    ],
)
def test_what_is_no_run_up_is_refused(t_s: Any, rpm: Any, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        analyse(make_trace(t_s, rpm))


def test_samples_that_are_not_sure_are_left_out() -> None:
    run = Truth().run()
    sure = np.ones(run.trace.t_s.size)
    sure[500:520] = 0.2
    trace = make_trace(run.trace.t_s, run.trace.rpm, confidence=sure)
    assert trace.t_s.size == run.trace.t_s.size - 20 and "20 of" in trace.remarks[0]


def test_the_prediction_interval_is_that_of_the_tables() -> None:
    # t(0.975, 4) = 2.776: NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2.
    rows = [{"static-rpm-20": v} for v in (7880.0, 7890.0, 7900.0, 7910.0, 7920.0)]
    baseline = baseline_of(rows)["static-rpm-20"]
    assert (baseline.runs, baseline.mean) == (5, 7900.0)
    assert baseline.sd == pytest.approx(np.sqrt(250.0))
    half = 2.776 * np.sqrt(250.0) * np.sqrt(1.2)
    assert tuple(baseline.interval(0.0)) == pytest.approx((7900.0 - half, 7900.0 + half), abs=0.05)


def test_an_engine_is_held_against_itself_once_three_runs_are_accepted() -> None:
    runs = [Truth(full=full).run(seed).figures for seed, full in enumerate((7880.0, 7900.0, 7925.0))]
    own, few = baseline_of(runs), baseline_of(runs[:2])
    slower = Truth(full=7600.0).run(9)
    assert found(slower, "static-rpm-20-itself", own).weight is Severity.UNLIKE_ITSELF
    assert found(Truth(full=7910.0).run(9), "static-rpm-20-itself", own).weight is Severity.GOOD
    assert "2 accepted runs only" in found(slower, "static-rpm-20-itself", few).against


def test_figures_that_were_not_measured_are_no_part_of_a_baseline() -> None:
    baseline = baseline_of([{"opening": None, "idle-rpm": 2000.0}, {"opening": 1.0, "idle-rpm": 2010.0}])
    assert (baseline["opening"].runs, baseline["idle-rpm"].runs) == (1, 2)
    with pytest.raises(ValueError, match="two at least"):
        baseline["opening"].interval(0.0)


def test_one_run_in_twenty_of_an_engine_in_order_falls_outside_its_interval() -> None:
    rng = np.random.default_rng(5)
    outside = 0
    for _ in range(2000):
        values = rng.normal(7900.0, 20.0, 6)
        lower, upper = baseline_of([{"x": v} for v in values[:5]])["x"].interval(0.0)
        outside += not lower <= values[5] <= upper
    assert outside / 2000 == pytest.approx(0.05, abs=0.015)


def test_every_figure_shows_its_working() -> None:
    run = Truth().run()
    for measure in run.measures:
        working = measure.working()
        assert working.authority and (working.formula or measure.why_not)
    assert baseline_of([run.figures, run.figures, run.figures])["idle-rpm"].working("Idle", "rpm", 5.0).inputs


def test_a_temperature_is_as_unsure_as_its_channel_is_noisy() -> None:
    steady, noisy = Truth().run(), Truth().run()
    noise = np.random.default_rng(5).normal(0.0, 3.0, noisy.trace.t_s.size)
    noisy = analyse(make_trace(noisy.trace.t_s, noisy.trace.rpm, cht_c=noisy.trace.cht_c + noise), 8000.0)
    for id, least, most in (("cht-highest", 2.5, 6.0), ("cht-full", 1.3, 2.2)):
        # A normal scatter of 3: one sample has 3 and its step to the next, three independent seconds 3/sqrt(3).
        assert least < noisy.measure(id).standard_uncertainty < most, id
        assert 0.0 < steady.measure(id).standard_uncertainty < 0.5, id


def test_a_highest_sample_alone_among_holes_is_no_measure() -> None:
    run = Truth().run()
    cht = np.full(run.trace.t_s.size, np.nan)
    cht[::200] = 150.0
    cht[400] = 190.0
    lonely = analyse(make_trace(run.trace.t_s, run.trace.rpm, cht_c=cht), 8000.0).measure("cht-highest")
    assert lonely.value is None and "fewer than 3 samples" in lonely.why_not
