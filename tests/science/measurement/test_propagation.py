"""Uncertainty of a computed number, against worked examples and closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.measurement.propagation import Unsure, propagate


def test_the_concentration_of_a_calibration_standard() -> None:
    """EURACHEM/CITAC Guide CG 4, example A1: c = 1000·m·P/V is 1002.7 mg/l with u = 0.9 mg/l."""
    inputs = {"m": Unsure(100.28, 0.05), "P": Unsure(0.9999, 0.000058), "V": Unsure(100.0, 0.07)}
    found = propagate(lambda a: 1000.0 * a["m"] * a["P"] / a["V"], inputs)
    assert found.value == pytest.approx(1002.7, abs=0.05)
    assert found.standard_uncertainty == pytest.approx(0.9, abs=0.05)
    assert max(found.shares, key=lambda s: abs(s.share)).name == "V"


@given(
    st.floats(0.1, 0.5),
    st.floats(0.05, 0.3),
    st.floats(20.0, 120.0),
    st.floats(1e-5, 0.01),
    st.floats(1e-5, 0.01),
)
def test_a_product_of_powers_adds_relative_uncertainties(
    span: float, mass: float, tone: float, ru: float, rv: float
) -> None:
    """JCGM 100:2008, 5.1.6, equation 12: for T = 4·m·L²·f², (u/T)² = Σ(pᵢ·uᵢ/xᵢ)²."""
    inputs = {"L": Unsure(span, ru * span), "m": Unsure(mass, rv * mass), "f": Unsure(tone, ru * tone)}
    found = propagate(lambda a: 4.0 * a["m"] * a["L"] ** 2 * a["f"] ** 2, inputs)
    relative = math.sqrt((2 * ru) ** 2 + rv**2 + (2 * ru) ** 2)
    assert found.standard_uncertainty / found.value == pytest.approx(relative, rel=1e-3)


def test_what_is_known_exactly_has_no_share() -> None:
    found = propagate(
        lambda a: a["x"] + a["y"], {"x": Unsure(1.0, standard_uncertainty=0.0), "y": Unsure(2.0, 0.1)}
    )
    assert [(s.name, round(s.share, 12)) for s in found.shares] == [("x", 0.0), ("y", 0.1)]
    assert (found.value, found.standard_uncertainty) == (3.0, pytest.approx(0.1))
