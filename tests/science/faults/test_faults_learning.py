"""How common a cause is, after a workshop has confirmed some itself."""

import pytest

from tickover.science.faults.learning import cause_frequencies

WEIGHTS = {"plug-faulty": 9.0, "intake-leak": 5.0, "ring-worn": 6.0}


# A. Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), section 2.4: 437 girls among 980 births, uniform
# prior, posterior Beta(438, 544). Mean and 95 % interval as given there, 0.446 (0.415 to 0.477), and to more
# digits in public notebooks of the example.
def test_girls_among_births_of_the_textbook() -> None:
    girls = cause_frequencies({"girl": 1, "boy": 1}, {"girl": 437, "boy": 543}, worth=2, level=0.95)["girl"]
    assert girls.share == pytest.approx(0.44602851, abs=1e-8)
    assert (girls.low, girls.high) == pytest.approx((0.41506549, 0.47719977), abs=1e-8)


# Laplace's rule of succession: (n + 1) / (N + 2) after n of N, from a uniform prior.
def test_the_rule_of_succession() -> None:
    assert cause_frequencies({"a": 1, "b": 1}, {"a": 7}, worth=2)["a"].share == pytest.approx(8 / 9)


def test_without_counts_the_table_stands() -> None:
    after = cause_frequencies(WEIGHTS, {})
    assert {name: one.share for name, one in after.items()} == pytest.approx(
        {name: weight / 20 for name, weight in WEIGHTS.items()}
    )


def test_many_counts_take_over_and_shares_stay_whole() -> None:
    after = cause_frequencies(WEIGHTS, {"ring-worn": 3000, "intake-leak": 1000})
    assert after["ring-worn"].share == pytest.approx(0.75, abs=0.01)
    assert sum(one.share for one in after.values()) == pytest.approx(1.0)


def test_a_few_confirmed_cases_move_a_share_a_little() -> None:
    ring = cause_frequencies(WEIGHTS, {"ring-worn": 2})["ring-worn"]
    assert ring.listed < ring.share < 0.34
    assert ring.low < ring.share < ring.high
    assert ring.working("Ring worn").result.value == pytest.approx((0.3 * 50 + 2) / 52)


@pytest.mark.parametrize(
    ("weights", "counts", "more", "complaint"),
    [
        (WEIGHTS, {"ring": 1}, {}, 'there is no cause called "ring" in this table'),
        (WEIGHTS, {"ring-worn": -1}, {}, "ring-worn: confirmed -1 times cannot be"),
        ({"a": 1.0}, {}, {}, "shares are of two causes or more"),
        ({"a": 1.0, "b": 0.0}, {}, {}, "b: a weight of 0 is not above 0"),
        (WEIGHTS, {}, {"worth": 0.0}, "a table worth 0 cases cannot be"),
        (WEIGHTS, {}, {"level": 1.0}, "a level of 1 is not between 0 and 1"),
    ],
)
def test_counts_that_make_no_sense_are_refused(
    weights: dict[str, float], counts: dict[str, int], more: dict[str, float], complaint: str
) -> None:
    with pytest.raises(ValueError, match=complaint):
        cause_frequencies(weights, counts, **more)
