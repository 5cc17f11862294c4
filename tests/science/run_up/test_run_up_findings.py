"""What a run-up says to fault-finding: seen, looked for and absent, not looked at."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.science.run_up.test_run_up import LIMITS, Truth
from tickover.science.run_up import Severity, baseline_of, judge
from tickover.science.run_up.signs import SIGNS, signs


@pytest.mark.parametrize(
    ("truth", "seen"),
    [
        (Truth(full=6900.0), {"static-rpm-low"}),
        (Truth(full=9300.0), {"static-rpm-high"}),
        (Truth(idle=2700.0), {"idle-high"}),
        (Truth(drop_back_s=5.0), {"slow-to-fall-back"}),
        (Truth(idle_after=400.0), {"idle-rises-after-burst", "slow-to-fall-back"}),
        (Truth(change_in_a_minute=-400.0), {"sags-at-full"}),
        (Truth(change_in_a_minute=250.0), {"climbs-at-full"}),
        (Truth(step_at_s=30.0, step_rpm=-700.0), {"steps-at-full"}),
        (Truth(cht=262.0), {"cht-high"}),
        (Truth(hunts=160.0), {"idle-hunts"}),
    ],
)
def test_what_is_wrong_is_seen(truth: Truth, seen: set[str]) -> None:
    told = signs(judge(truth.run(), LIMITS))
    assert seen <= told.seen and not told.seen & told.absent


def test_a_run_in_good_order_rules_out_what_it_was_measured_for() -> None:
    told = signs(judge(Truth().run(), LIMITS))
    assert told.seen == frozenset()
    assert {"static-rpm-low", "static-rpm-high", "idle-high", "slow-to-fall-back", "cht-high"} <= told.absent


def test_what_was_not_measured_is_neither_seen_nor_absent() -> None:
    told = signs(judge(Truth(full_s=10.0).run(), {}))
    assert not {"four-strokes-full", "egt-high", "sags-at-full", "static-rpm-low"} & (told.seen | told.absent)


def test_too_near_to_tell_is_neither_seen_nor_absent() -> None:
    told = signs(judge(Truth(cht=231.0).run(), LIMITS))
    assert "cht-high" not in told.seen | told.absent


def test_slower_than_it_always_was_is_low_though_inside_the_limits_of_its_type() -> None:
    own = baseline_of(
        [Truth(full=full).run(seed).figures for seed, full in enumerate((7880.0, 7900.0, 7925.0))]
    )
    told = signs(judge(Truth(full=7500.0).run(), LIMITS, own))
    assert "static-rpm-low" in told.seen and "static-rpm-high" not in told.seen


def test_ids_are_words_and_each_stands_once() -> None:
    ids = [sign.id for sign in SIGNS]
    assert len(set(ids)) == len(ids) and all(re.fullmatch(r"[a-z]+(-[a-z]+)*", id) for id in ids)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(1400.0, 3000.0), st.floats(6300.0, 9800.0), st.floats(-600.0, 400.0), st.floats(110.0, 280.0),
    st.floats(0.5, 6.0), st.floats(8.0, 70.0), st.floats(5.0, 200.0), st.integers(0, 9999),
)  # fmt: skip
def test_every_verdict_says_what_was_seen_against_what_how_sure_and_what_next(
    idle: float, full: float, change: float, cht: float, back: float, full_s: float, hunts: float, seed: int
) -> None:
    truth = Truth(idle, full, change, back, cht=cht, full_s=full_s, hunts=hunts)
    own = baseline_of([Truth(full=speed).run(n).figures for n, speed in enumerate((7880.0, 7900.0, 7925.0))])
    for finding in judge(truth.run(seed), LIMITS, own):
        assert finding.seen.endswith(".") and finding.sure.endswith("."), finding
        assert finding.against or finding.weight is Severity.MEASURE_NEXT, finding
        assert finding.do or finding.weight is Severity.GOOD, finding
        assert finding.do.startswith("Stop") == finding.danger
