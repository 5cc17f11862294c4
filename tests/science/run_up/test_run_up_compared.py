"""Which figure of a run is compared with the baseline, and why a run may not become part of it: both sides of each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.science.run_up.test_run_up import LIMITS
from tests.science.run_up.test_run_up_air import COLD, run_in
from tickover.science.run_up import Noted, RunUpFinding, Severity, answer, judge, why_not_accepted
from tickover.science.run_up.air import reference_measures
from tickover.science.run_up.baseline import Baseline

RUN = run_in(COLD, 60.0)


def compared(reference_runs: int, read_runs: int) -> set[str]:
    """Which of the two head temperatures is compared: in air of 15 deg C, or as read."""
    baseline = {
        "cht-reference": Baseline(reference_runs, 185.0, 2.0),
        "cht-full": Baseline(read_runs, 185.0, 2.0),
    }
    found = {f.id for f in judge(RUN, LIMITS, baseline)}
    return {id for id in ("cht-reference-itself", "cht-full-itself") if id in found}


@pytest.mark.parametrize(
    ("reference_runs", "read_runs", "which"),
    [
        (3, 9, "cht-reference-itself"),  # three are enough, however many the other has
        (2, 3, "cht-full-itself"),  # too few, and the other has more
        (2, 2, "cht-reference-itself"),  # too few, but the other has no more
        (2, 1, "cht-reference-itself"),
        (1, 2, "cht-full-itself"),
    ],
)
def test_the_head_in_standard_air_is_compared_unless_the_one_as_read_has_more_runs(
    reference_runs: int, read_runs: int, which: str
) -> None:
    assert compared(reference_runs, read_runs) == {which}


def test_without_one_as_read_the_one_in_standard_air_is_compared() -> None:
    found = judge(RUN, LIMITS, {"cht-reference": Baseline(1, 185.0, float("nan"))})
    assert "cht-reference-itself" in {f.id for f in found}


def finding(weight: Severity, seen: str) -> RunUpFinding:
    return replace(judge(RUN, LIMITS)[0], weight=weight, seen=seen)


def test_only_a_danger_keeps_a_run_out_of_the_baseline() -> None:
    others = tuple(finding(weight, "It sags.") for weight in Severity if weight is not Severity.DANGER)
    assert not any(f.danger for f in others)
    assert why_not_accepted(()) == "" == why_not_accepted(others)
    hot = finding(Severity.DANGER, "232 deg C.")
    assert hot.danger
    assert why_not_accepted((*others, hot)).startswith("232 deg C. A run that says stop never goes into")


def test_the_answer_names_the_first_of_the_worst() -> None:
    first, second = finding(Severity.OUTSIDE, "It sags."), finding(Severity.OUTSIDE, "It hunts.")
    assert answer((first,)) == "It sags."
    assert answer((first, second)) == "It sags. 1 more like it below."


def test_how_sure_the_probe_was_is_in_the_head_temperature_in_standard_air() -> None:
    """JCGM 100:2008, 5.1.2: independent uncertainties add by their squares; 3 K and 1 K of the air are 3.16 K."""
    air = Noted(288.15)
    alone = reference_measures({"cht-full": 185.0}, air, u_cht_k=None)[1]
    carried = reference_measures({"cht-full": 185.0}, air, u_cht_k=3.0)[1]
    assert alone.standard_uncertainty == pytest.approx(1.0)
    assert carried.standard_uncertainty == pytest.approx(10.0**0.5)
    assert "comes on top" in alone.holds_for and "comes on top" not in carried.holds_for


def test_a_run_carries_the_uncertainty_of_its_own_head_temperature() -> None:
    read = next(m for m in RUN.measures if m.id == "cht-full")
    carried = next(m for m in RUN.measures if m.id == "cht-reference")
    without = reference_measures(RUN.figures, COLD, u_cht_k=None)[1].standard_uncertainty
    assert read.standard_uncertainty > 0.0
    assert carried.standard_uncertainty == pytest.approx((read.standard_uncertainty**2 + without**2) ** 0.5)
    assert carried.standard_uncertainty > without
