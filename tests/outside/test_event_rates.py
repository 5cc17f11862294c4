"""Shares and rates of few events, against published tables."""

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.reliability.event_rates import Rate, clopper_pearson_interval, wilson_interval


# R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I: 95 % intervals of 0 of 20 and 1 of 29 by Wilson's score
# method and by Clopper and Pearson; also 81 of 263 and 15 of 148 there (all from memory).
def test_shares_of_newcombes_table() -> None:
    count, of = [81, 15, 0, 1], [263, 148, 20, 29]
    lower, upper = wilson_interval(count, of)
    assert lower == pytest.approx([0.2553, 0.0624, 0.0, 0.0061], abs=6e-5)
    assert upper == pytest.approx([0.3662, 0.1605, 0.1611, 0.1718], abs=6e-5)
    lower, upper = clopper_pearson_interval(count, of)
    assert lower == pytest.approx([0.2527, 0.0578, 0.0, 0.0009], abs=6e-5)
    assert upper == pytest.approx([0.3676, 0.1617, 0.1684, 0.1776], abs=6e-5)


def test_all_of_them_is_none_of_them_the_other_way_round() -> None:
    for interval in (wilson_interval, clopper_pearson_interval):
        none, every = interval(0, 7), interval(7, 7)
        assert tuple(every) == pytest.approx((1.0 - none.upper, 1.0))


# Gamma and Poisson in closed form: prior Gamma(2, 30 h), 14 events in 200 h give Gamma(16, 230 h); its 90 % interval
# and the chances of 0 to 3 events in 50 h, negative binomial, by scipy.stats beforehand.
def test_a_rate_learned_from_what_was_counted() -> None:
    rate = Rate(2.0, 30.0).after(14, 200.0)
    assert rate.mean_per_h == pytest.approx(16 / 230)
    assert tuple(rate.between_per_h(0.9)) == pytest.approx((0.0436345945, 0.1004223033))
    assert rate.chance_of([0, 1, 2, 3], 50.0) == pytest.approx(
        [0.0429652037, 0.1227577448, 0.1863286894, 0.1996378815]
    )
    assert float(rate.chance_of(np.arange(200), 50.0).sum()) == pytest.approx(1.0)


def test_counts_that_cannot_be_are_refused() -> None:
    for interval in (wilson_interval, clopper_pearson_interval):
        for count, of in ((5, 4), (-1, 4), (0, 0), (np.nan, 4), ([], 4), (1, np.inf)):
            with pytest.raises(OutOfRangeError):
                interval(count, of)
    with pytest.raises(OutOfRangeError, match="were the two numbers exchanged"):
        wilson_interval(5, 4)
    with pytest.raises(OutOfRangeError, match="whole numbers"):
        Rate(2.0, 30.0).chance_of(1.5, 10.0)
    for events, hours in ((0.0, 1.0), (1.0, 0.0), (np.nan, 1.0)):
        with pytest.raises(OutOfRangeError):
            Rate(events, hours)
