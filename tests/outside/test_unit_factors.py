"""Conversion factors against a published table.

NIST Special Publication 811 (2008), Guide for the Use of the International System of Units, appendix B.8.
A factor in bold there is exact; the others are rounded to seven figures.
"""

from __future__ import annotations

import pytest

from tickover.formats.text.units import convert


@pytest.mark.parametrize(
    ("unit", "si", "factor", "exact"),
    [
        ("in", "mm", 25.4, True),
        ("bar", "Pa", 1.0e5, True),
        ("psi", "Pa", 6.894757e3, False),
        ("in-lb", "N.m", 1.129848e-1, False),
        ("lbf", "N", 4.448222, False),
    ],
)
def test_factors_of_the_guide_to_the_si(unit: str, si: str, factor: float, exact: bool) -> None:
    assert convert(1.0, unit, si) == pytest.approx(factor, rel=1e-15 if exact else 1e-6)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (68.0, 20.0)]
)
def test_degrees_fahrenheit(fahrenheit: float, celsius: float) -> None:
    """Same table: t/°C = (t/°F − 32)/1.8, exact."""
    assert convert(fahrenheit, "deg F", "deg C") == celsius
