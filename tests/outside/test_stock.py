"""How many parts to keep, against textbook examples and a general library."""

import numpy as np
import pytest
from scipy.stats import poisson

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.reliability.stock import (
    base_stock_for_service,
    economic_order_quantity,
    expected_backorders,
    lead_time_sd,
    newsvendor_stock,
    reorder_point,
    stock_cost,
)


# L. V. Snyder, Z.-J. M. Shen (2nd ed. 2019), chapters 3 and 4, as the documentation of the open library stockpyl has
# them: demand 50 at costs 0.18 and 0.70, 56 parts, 1.797235; demand 6 at 1 and 4, 8 parts, 3.570107; 304.0468 a lot.
def test_examples_of_the_textbook() -> None:
    assert newsvendor_stock([50.0, 6.0], [0.18, 1.0], [0.70, 4.0]).tolist() == [56.0, 8.0]
    cost = stock_cost([50.0, 6.0], [56.0, 8.0], [0.18, 1.0], [0.70, 4.0])
    assert cost == pytest.approx([1.797235211809178, 3.5701069457709416])
    assert float(economic_order_quantity(1300.0, 8.0, 0.225)) == pytest.approx(304.0467800264368)


# Closed form m (1 − F(s − 1)) − s (1 − F(s)), worked out beforehand at m = 2.5.
def test_parts_wanting_on_average() -> None:
    assert expected_backorders(2.5, range(6)) == pytest.approx(
        [2.5, 1.582085, 0.8693825, 0.4131956, 0.1707717, 0.0619498], abs=1e-6
    )


# Any table of the Poisson distribution: at 2.5 up to 5 in 95.8 %, up to 7 in 99.6 % of cases.
def test_enough_for_a_service() -> None:
    assert base_stock_for_service(2.5, [0.95, 0.99]).tolist() == [5.0, 7.0]


# scipy.stats.poisson, a general library.
def test_enough_by_a_general_library() -> None:
    random = np.random.default_rng(1)
    demand, service = 10.0 ** random.uniform(-6.0, 4.0, 2_000), random.uniform(0.01, 0.9999, 2_000)
    assert base_stock_for_service(demand, service).tolist() == poisson.ppf(service, demand).tolist()


# Ten a week ± 3, four weeks: 40 + 1.6449 · 3 · √4; with a lead time ± 1 week √(4 · 9 + 100 · 1) = 11.662.
def test_when_to_order_again() -> None:
    assert float(reorder_point(10.0, 3.0, 4.0, 0.95, lead_sd=0.0)) == pytest.approx(49.869122)
    assert float(lead_time_sd(10.0, 3.0, 4.0, lead_sd=1.0)) == pytest.approx(11.661903789690601)


def test_what_cannot_be_is_refused() -> None:
    for bad in (-1.0, np.nan, np.inf, None, [], "many"):
        for call in (
            lambda bad: base_stock_for_service(bad, 0.9),
            lambda bad: base_stock_for_service(2.0, bad),
            lambda bad: newsvendor_stock(2.0, bad, 1.0),
            lambda bad: expected_backorders(2.0, bad),
            lambda bad: stock_cost(2.0, 3.0, 1.0, bad),
            lambda bad: reorder_point(10.0, bad, 4.0, 0.9, lead_sd=0.0),
            lambda bad: economic_order_quantity(bad, 1.0, 1.0),
        ):
            with pytest.raises(OutOfRangeError):
                call(bad)
