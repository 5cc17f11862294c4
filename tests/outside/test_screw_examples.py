"""Torque, preload and adapters against textbooks, handbooks and a library of units."""

import numpy as np
import pint
import pytest

from tickover.science.fasteners.preload_and_torque import (
    NEWTON_METRES,
    from_nm,
    offset_adapter_setting_nm,
    to_nm,
    torque_by_factor_nm,
    torque_nm,
)
from tickover.science.fasteners.threads import proof_load_n, stress_area_mm2

INCH = 25.4
LBF = 4.4482216152605


def in_lbf_in(torque: float) -> float:
    return float(from_nm(torque, "lbf.in"))


# Wentzell, Machine Design, chapter 6, examples 6.1 and 6.4 (answers read in an open companion to the book).
@pytest.mark.parametrize(
    ("inches", "area", "proof_psi", "share", "factor", "published"),
    [(0.75, 0.334, 85_000.0, 0.85, 0.2, 3_619.73), (1.25, 1.073, 120_000.0, 0.9, 0.15, 21_728.25)],
)
def test_short_form_of_a_textbook(
    inches: float, area: float, proof_psi: float, share: float, factor: float, published: float
) -> None:
    torque = torque_by_factor_nm(area * proof_psi * share * LBF, inches * INCH, factor)
    assert in_lbf_in(float(torque)) == pytest.approx(published, abs=0.01)


# Speck, Mechanical Fastening, Joining, and Assembly, p. 85: 0.19 inch screw, 1275 lb, five factors.
def test_short_form_of_a_handbook() -> None:
    torques = torque_by_factor_nm(1_275.0 * LBF, 0.19 * INCH, [0.3, 0.25, 0.2, 0.15, 0.1])
    assert from_nm(torques, "lbf.in") == pytest.approx([72.7, 60.6, 48.5, 36.3, 24.2], abs=0.1)


# Shigley, Mechanical Engineering Design, example 8-3: 3/4-16 UNF, 25,000 lbf, friction 0.15, collar 1.25 d: 3551
# lbf in (from memory). The book's power-screw equation keeps a second-order term that VDI 2230 drops: 1 %.
def test_long_form_of_a_textbook() -> None:
    torque = torque_nm(25_000.0 * LBF, 0.75 * INCH, INCH / 16.0, 1.25 * 0.75 * INCH, 0.15, 0.15)
    assert in_lbf_in(float(torque)) == pytest.approx(3_551.0, rel=0.01)


# ISO 898-1:2013, nominal stress areas and proof loads of class 8.8, and 10.9, 12.9 for M6 (from memory).
def test_proof_loads_of_the_standard() -> None:
    sizes, pitches = [4.0, 5.0, 6.0, 8.0, 10.0, 12.0], [0.7, 0.8, 1.0, 1.25, 1.5, 1.75]
    assert stress_area_mm2(sizes, pitches) == pytest.approx([8.78, 14.2, 20.1, 36.6, 58.0, 84.3], rel=3e-3)
    published = [5_090.0, 8_230.0, 11_600.0, 21_200.0, 33_700.0, 48_900.0]
    assert proof_load_n(sizes, pitches, "8.8") == pytest.approx(published, rel=5.5e-3)
    assert float(proof_load_n(6.0, 1.0, "10.9")) == pytest.approx(16_700.0, rel=7e-3)
    assert float(proof_load_n(6.0, 1.0, "12.9")) == pytest.approx(19_500.0, rel=7e-3)


# US Army TM 9-2350-261-20-1, p. 2-29: 40 at the nut, 12 inch wrench, 4 inch adapter: set 30. US Army TM 9-254,
# figure 45: 60 on a 12 inch wrench with 2 inches more is 70 at the nut; figure 46: at a right angle nothing changes.
def test_adapters_of_two_technical_manuals() -> None:
    def in_inches(target: float, wrench: float, adapter: float, angle: float = 0.0) -> float:
        return float(offset_adapter_setting_nm(target, wrench * 0.0254, adapter * 0.0254, angle))

    assert in_inches(40.0, 12.0, 4.0) == pytest.approx(30.0)
    assert in_inches(70.0, 12.0, 2.0) == pytest.approx(60.0)
    assert in_inches(100.0, 12.0, 3.0, 90.0) == pytest.approx(100.0)


# NIST SP 811, appendix B (seven figures, from memory), and pint, a library of units.
def test_torque_units() -> None:
    published = {
        "lbf.in": 0.1129848,
        "lbf.ft": 1.355818,
        "kgf.m": 9.80665,
        "kgf.cm": 0.0980665,
        "ozf.in": 7.061552e-3,
    }
    for unit, factor in published.items():
        assert float(to_nm(1.0, unit)) == pytest.approx(factor, rel=1e-6)
    units = pint.UnitRegistry()
    spelled = {
        "lbf.in": "force_pound*inch",
        "lbf.ft": "force_pound*foot",
        "kgf.cm": "kilogram_force*centimeter",
    }
    for unit, words in spelled.items():
        assert NEWTON_METRES[unit] == pytest.approx(
            units.Quantity(1.0, words).to("newton*meter").magnitude, rel=1e-12
        )
    ounces = units.Quantity(1.0, "force_ounce*inch").to("newton*meter").magnitude
    assert NEWTON_METRES["ozf.in"] == pytest.approx(ounces, rel=1e-12)
    assert np.all(to_nm([1.0, 2.0], "N.m") == [1.0, 2.0])
