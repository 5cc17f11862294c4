"""Guard bands, acceptance limits and the risks of a decision rule."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.measurement.guard_bands import (
    Normal,
    Span,
    acceptance_limits,
    chance_below_and_above,
    global_risk,
    guard_band,
    posterior,
)


def test_a_span_needs_a_side_and_sides_in_order() -> None:
    with pytest.raises(ValueError, match="no limit is given"):
        Span(None, None)
    with pytest.raises(ValueError, match="is above the upper limit"):
        Span(1.6, 1.2)
    with pytest.raises(ValueError, match="finite"):
        Span(float("nan"), 1.0)


def test_at_one_limit_the_acceptance_limit_is_a_guard_band_away() -> None:
    sure = acceptance_limits(Span(0.7, None), standard_uncertainty=0.02, confidence=0.95)
    assert sure is not None
    assert sure.lower == pytest.approx(0.7 + guard_band(0.02, 0.95))
    assert sure.upper is None


@given(u=st.floats(1e-3, 0.3), confidence=st.floats(0.55, 0.999))
def test_a_reading_at_an_acceptance_limit_is_just_sure_enough(u: float, confidence: float) -> None:
    limits = Span(1.2, 1.6)
    sure = acceptance_limits(limits, u, confidence)
    middle = 1.0 - sum(chance_below_and_above(1.4, limits, u))
    if sure is None:
        assert middle <= confidence + 1e-9
    else:
        assert sure.lower is not None
        at_limit = 1.0 - sum(chance_below_and_above(sure.lower, limits, u))
        assert at_limit == pytest.approx(confidence, abs=1e-9)


def test_an_instrument_as_coarse_as_the_limits_can_never_show_inside() -> None:
    assert acceptance_limits(Span(0.038, 0.10), standard_uncertainty=0.03, confidence=0.95) is None


def test_without_uncertainty_the_limits_themselves_accept() -> None:
    assert acceptance_limits(Span(1.2, 1.6), 0.0, 0.95) == Span(1.2, 1.6)


def test_a_wider_guard_band_moves_the_risk_from_the_consumer_to_the_producer() -> None:
    kind, limits = Normal(1.4, 0.12), Span(1.2, 1.6)
    risks = [global_risk(kind, limits, limits.shrunk(band), 0.04) for band in (0.0, 0.04, 0.08)]
    assert risks[0].consumer > risks[1].consumer > risks[2].consumer
    assert risks[0].producer < risks[1].producer < risks[2].producer


@given(mean=st.floats(-2, 2), sd=st.floats(0.01, 3), u=st.floats(1e-3, 3), band=st.floats(-0.3, 0.9))
def test_a_risk_is_a_share_of_all_items(mean: float, sd: float, u: float, band: float) -> None:
    limits = Span(-1.0, 1.0)
    risk = global_risk(Normal(mean, sd), limits, limits.shrunk(band), u)
    assert -1e-12 <= risk.consumer <= 1.0
    assert -1e-12 <= risk.producer <= 1.0
    assert risk.consumer + risk.producer <= 1.0 + 1e-9


def test_a_risk_without_a_spread_of_items_is_refused() -> None:
    with pytest.raises(ValueError, match="spread of the items"):
        global_risk(Normal(1.0, 0.0), Span(0, 2), Span(0, 2), 0.1)


def test_a_sharp_reading_says_more_than_what_was_known_of_the_kind() -> None:
    known = posterior(Normal(1.4, 0.2), 1.3, 0.02)
    assert known.mean == pytest.approx(1.301, abs=5e-4)
    assert known.sd < 0.02
