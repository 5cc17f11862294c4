"""What says stop on a run-up: each threshold from both sides, by runs and measures made here."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tickover.science.run_up import Against, Measure, Phase, RunUpFinding, Trace, danger
from tickover.science.run_up.danger import dangers
from tickover.science.run_up.measuring.phases import FULL
from tickover.science.run_up.measuring.steps import ThrottleStep

HZ = 10.0
SIZE = 400
T_S = np.arange(SIZE) / HZ
WHOLE = Phase(FULL, 0.0, 40.0)
UNKNOWN = Measure("", "", "rpm", None, 0.0)


def trace(**channels: Any) -> Trace:
    rpm = channels.pop("rpm", np.full(SIZE, 8000.0))
    return Trace(t_s=T_S, rpm=rpm, **channels)


def found(
    run: Trace,
    limits: dict[str, Against] | None = None,
    change: tuple[float, float] | None = None,
    static: float | None = 8000.0,
    full: tuple[Phase, ...] = (WHOLE,),
) -> list[RunUpFinding]:
    measures = {
        "static-change": Measure("static-change", "", "rpm", *change) if change else UNKNOWN,
        "static-rpm-20": Measure("static-rpm-20", "", "rpm", static, 0.0),
    }
    return list(dangers(run, full, measures, limits or {}))


def ids(*arguments: Any, **more: Any) -> list[str]:
    return [finding.id for finding in found(*arguments, **more)]


def degrees(highest: float) -> np.ndarray:
    """Warm, hottest from 20 s to 21 s."""
    return np.where((T_S >= 20.0) & (T_S <= 21.0), highest, 100.0)


def limit(upper: float | None, never_above: float | None = None, lower: float | None = None) -> Against:
    return Against(lower, upper, 2.0, 1.0, authority="maker", never_above=never_above)


@pytest.mark.parametrize(("name", "stop_c"), [("cht", 250.0), ("egt", 680.0)])
@pytest.mark.parametrize("unlimited", [None, limit(None, lower=120.0)])
def test_without_a_figure_of_the_type_it_stops_at_ours(
    name: str, stop_c: float, unlimited: Against | None
) -> None:
    limits = {name: unlimited} if unlimited else {}
    assert ids(trace(**{f"{name}_c": degrees(stop_c - 0.1)}), limits) == []
    (stop,) = found(trace(**{f"{name}_c": degrees(stop_c)}), limits)
    assert stop.id == f"{name}-stop" and stop.danger and "the type sheet has no figure" in stop.against
    assert (stop.start_s, stop.end_s) == (20.0, 21.0)


@pytest.mark.parametrize("name", ["cht", "egt"])
@pytest.mark.parametrize("stop_c", [200.0, 249.0, 270.0, 700.0])
def test_the_stop_temperature_of_the_type_replaces_ours_lower_or_higher(name: str, stop_c: float) -> None:
    for limits in ({name: limit(stop_c)}, {name: limit(stop_c - 30.0, stop_c)}):
        assert ids(trace(**{f"{name}_c": degrees(stop_c - 0.1)}), limits) == []
        (stop,) = found(trace(**{f"{name}_c": degrees(stop_c)}), limits)
        assert stop.id == f"{name}-stop" and f"Stop at {stop_c:.0f} °C" in stop.against
        assert "maker" in stop.against and "may be wrong by 4 °C" in stop.sure


def test_what_the_type_never_allows_goes_before_its_limit_of_use() -> None:
    between = trace(cht_c=degrees(240.0))
    assert ids(between, {"cht": limit(230.0, 250.0)}) == []
    assert ids(between, {"cht": limit(230.0, 235.0)}) == ["cht-stop"]


@pytest.mark.parametrize(("name", "u_c"), [("cht", "6 °C"), ("egt", "12 °C")])
def test_a_probe_of_which_nothing_is_known_is_as_uncertain_as_a_usual_one(name: str, u_c: str) -> None:
    (stop,) = found(trace(**{f"{name}_c": degrees(900.0)}))
    assert u_c in stop.sure


def test_each_temperature_has_its_own_limit() -> None:
    hot = trace(cht_c=degrees(240.0), egt_c=degrees(600.0))
    assert ids(hot, {"cht": limit(230.0)}) == ["cht-stop"]
    assert ids(hot, {"egt": limit(590.0)}) == ["egt-stop"]


def test_the_speed_the_type_never_allows_says_stop() -> None:
    rpm = np.where((T_S >= 5.0) & (T_S <= 5.4), 9000.0, 8900.0)
    assert ids(trace(rpm=rpm), {"static-rpm": limit(8800.0, 9000.0)}) == []
    (stop,) = found(trace(rpm=rpm), {"static-rpm": limit(8800.0, 8999.0)})
    assert stop.id == "rpm-stop" and stop.danger and (stop.start_s, stop.end_s) == (5.0, 5.4)
    assert ids(trace(rpm=rpm), {"static-rpm": limit(8800.0)}) == []
    assert ids(trace(rpm=rpm), {"cht": limit(200.0, 250.0)}) == []


# One-sided 95 %: the climb has to be more than 1 % of 8000 rpm by 1.645 standard uncertainties. JCGM 106:2012, table 1.
GUARD = 1.645 * 20.0


@pytest.mark.parametrize(
    ("climb", "stops"), [(80.0 + GUARD - 0.01, False), (80.0 + GUARD + 0.01, True), (-500.0, False)]
)
def test_a_climb_says_stop_once_it_is_95_percent_sure(climb: float, stops: bool) -> None:
    assert ids(trace(), change=(climb, 20.0)) == ["climbs-at-full"] * stops


def test_at_the_threshold_itself_a_climb_is_not_sure() -> None:
    assert ids(trace(), change=(80.0, 0.0)) == []


@pytest.mark.parametrize(("lower", "usual"), [(None, 70.0), (6000.0, 60.0)])
def test_where_the_static_speed_is_missing_the_lowest_of_the_type_serves(
    lower: float | None, usual: float
) -> None:
    limits = {"static-rpm": limit(None, lower=lower)} if lower else {}
    assert ids(trace(), limits, (usual - 0.01, 0.0), None) == []
    assert ids(trace(), limits, (usual + 0.01, 0.0), None) == ["climbs-at-full"]


def stepped(size: float, level: float = 8000.0, scatter: float = 0.0, at: int = 200) -> np.ndarray:
    """A level that steps and stays; neighbours lie `scatter` apart."""
    values = np.full(SIZE, level)
    values[at:] += size
    return values + scatter * np.where(np.arange(SIZE) % 2, 0.5, -0.5)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize(("share", "stops"), [(0.0395, False), (0.0408, True)])
def test_a_step_of_the_speed_by_four_percent_says_stop(sign: float, share: float, stops: bool) -> None:
    # The level is the median of the whole: it steps at three quarters, so that it is the one before.
    found_ids = ids(trace(rpm=stepped(sign * share * 8000.0, at=300)))
    assert found_ids == ["steps-at-full"] * stops


def test_a_step_of_exactly_four_percent_says_stop() -> None:
    (stop,) = found(trace(rpm=stepped(-320.0, at=300)))
    assert stop.id == "steps-at-full" and "falls by 320 rpm" in stop.seen
    # Seen by medians of 2 s: the middle of the gap between them is at the step, to a window's half.
    middle = (stop.start_s + stop.end_s) / 2.0
    assert middle == pytest.approx(30.0, abs=1.5) and stop.end_s - stop.start_s == pytest.approx(2.0)


# Samples that hop by s have differences of s all along: their robust spread is 1.4826 s, over √2 of a sample.
HOP = 1.4826 / np.sqrt(2.0)


def hunting(size: float, hop: float, level: float) -> np.ndarray:
    """A level that rises to the next by `hop` and falls back, in an order whose differences scatter about 0."""
    pattern = np.resize([0.0, hop, 0.0, -hop], SIZE)
    return stepped(size, level, at=300) + pattern


@pytest.mark.parametrize(("sigmas", "stops"), [(7.8, False), (8.2, True)])
def test_a_step_is_eight_times_the_hunting_at_least(sigmas: float, stops: bool) -> None:
    hop = 60.0
    size = sigmas * HOP * hop
    assert size > 0.04 * 8000.0
    assert ids(trace(rpm=hunting(size, hop, 8000.0))) == ["steps-at-full"] * stops


@pytest.mark.parametrize(("ratio", "stops"), [(1.49, False), (1.5, True), (1.6, True)])
def test_vibration_of_half_as_much_again_says_stop(ratio: float, stops: bool) -> None:
    shaken = np.where(np.arange(SIZE) < 300, 4.0, 4.0 * ratio)
    assert ids(trace(vibration=shaken)) == ["shakes-at-full"] * stops


@pytest.mark.parametrize(("sigmas", "stops"), [(7.8, False), (8.2, True)])
def test_a_step_of_the_vibration_is_eight_times_its_scatter_at_least(sigmas: float, stops: bool) -> None:
    hop = 1.0
    assert ids(trace(vibration=hunting(sigmas * HOP * hop, hop, 4.0))) == ["shakes-at-full"] * stops


@pytest.mark.parametrize(("quiet", "found_ids"), [(1.0, ["steps-at-full", "shakes-at-full"]), (1.001, [])])
def test_exactly_eight_times_the_scatter_says_stop(
    quiet: float, found_ids: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    step = ThrottleStep(before=8.0, after=16.0, at_s=20.0, level=8.0, quiet=quiet)
    monkeypatch.setattr(danger, "largest_step", lambda *_: step)
    assert ids(trace(vibration=np.full(SIZE, 8.0))) == found_ids


def test_vibration_that_falls_or_was_none_says_nothing() -> None:
    assert ids(trace(vibration=np.where(np.arange(SIZE) < 300, 6.0, 3.0))) == []
    assert ids(trace(vibration=np.where(np.arange(SIZE) < 300, 0.0, 3.0))) == []


def test_small_vibration_counts_as_much_as_large() -> None:
    (stop,) = found(trace(vibration=np.where(np.arange(SIZE) < 300, 0.4, 0.8)))
    middle = (stop.start_s + stop.end_s) / 2.0
    assert middle == pytest.approx(30.0, abs=1.5) and stop.end_s - stop.start_s == pytest.approx(2.0)


def test_steps_are_looked_for_at_full_throttle_alone_and_in_each_of_its_stretches() -> None:
    run = trace(rpm=stepped(-700.0), vibration=stepped(4.0, 4.0))
    assert ids(run, full=(Phase("idle", 0.0, 40.0),)) == []
    assert ids(run, full=(Phase(FULL, 0.0, 2.0),)) == []
    assert ids(run, full=(Phase(FULL, 0.0, 12.0), Phase(FULL, 12.0, 40.0))) == [
        "steps-at-full",
        "shakes-at-full",
    ]


def test_a_run_in_good_order_says_nothing() -> None:
    assert ids(trace(cht_c=degrees(200.0), egt_c=degrees(600.0), vibration=np.full(SIZE, 4.0))) == []
