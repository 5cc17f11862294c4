"""Torque, preload, adapters, and the order of the screws."""

from itertools import pairwise

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fasteners.preload_and_torque import (
    NEWTON_METRES,
    from_nm,
    offset_adapter_setting_nm,
    preload_by_factor_n,
    preload_n,
    to_nm,
    torque_by_factor_nm,
    torque_nm,
)
from tickover.science.fasteners.preload_scatter import clamping
from tickover.science.fasteners.threads import COARSE_PITCH_MM, pitch_diameter_mm
from tickover.science.fasteners.tightening_sequence import PATTERNS, tightening, tightening_order


def test_torque_and_preload_go_both_ways() -> None:
    screw = (6.0, 1.0, 8.0, 0.12, 0.14)
    loads = np.array([3_000.0, 9_000.0])
    assert preload_n(torque_nm(loads, *screw), *screw) == pytest.approx(loads)
    assert preload_by_factor_n(torque_by_factor_nm(loads, 6.0), 6.0) == pytest.approx(loads)


def test_most_of_the_torque_goes_into_friction() -> None:
    stretches = 9_000.0 * 1e-3 / (2.0 * np.pi)
    assert stretches / float(torque_nm(9_000.0, 6.0, 1.0, 8.0, 0.12, 0.12)) == pytest.approx(0.16, abs=0.01)


def test_friction_scatters_the_preload_more_than_the_wrench() -> None:
    by_wrench = clamping(9.0, 6.0, 1.0, 8.0, friction_least=0.12, friction_most=0.12, tool_share=0.04)
    by_both = clamping(9.0, 6.0, 1.0, 8.0)
    assert float(by_wrench.scatter) == pytest.approx(1.04 / 0.96)
    assert float(by_both.scatter) > 1.5
    assert float(by_both.least_n) < float(by_both.middle_n) < float(by_both.most_n)


def test_proof_load_is_told_only_for_a_known_class() -> None:
    known, unknown = clamping(9.0, 6.0, 1.0, 8.0, property_class="8.8"), clamping(9.0, 6.0, 1.0, 8.0)
    assert float(known.proof_share) == pytest.approx(float(known.most_n) / (20.1 * 580.0), rel=1e-9)
    assert "proof load" not in [quantity.name for quantity in unknown.working().inputs]
    assert known.working().result.value == pytest.approx(float(known.middle_n))


def test_an_adapter_across_changes_nothing_and_one_folded_back_adds() -> None:
    settings = offset_adapter_setting_nm(20.0, 0.25, 0.05, [0.0, 90.0, 180.0])
    assert settings == pytest.approx([20.0 * 5 / 6, 20.0, 25.0])


def test_torque_units_go_both_ways() -> None:
    for unit in NEWTON_METRES:
        assert float(from_nm(to_nm(12.5, unit), unit)) == pytest.approx(12.5)


def test_pitch_diameter_of_the_coarse_threads() -> None:
    # ISO 724, table of basic dimensions (from memory, 3 decimals): M5 4.480, M6 5.350, M8 7.188, M10 9.026.
    coarse = [(size, COARSE_PITCH_MM[size]) for size in (5.0, 6.0, 8.0, 10.0)]
    assert [float(pitch_diameter_mm(*thread)) for thread in coarse] == pytest.approx(
        [4.480, 5.350, 7.188, 9.026], abs=6e-4
    )


@pytest.mark.parametrize(
    ("count", "order"),
    [
        # ASME PCC-1, cross-pattern sequence for 4, 8 and 12 bolts (from memory; public guides repeat it).
        (4, [1, 3, 2, 4]),
        (8, [1, 5, 3, 7, 2, 6, 4, 8]),
        (12, [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12]),
        # Common practice, no source: six across, five as a star.
        (6, [1, 4, 2, 5, 3, 6]),
        (5, [1, 3, 5, 2, 4]),
    ],
)
def test_the_cross_order_is_the_published_one(count: int, order: list[int]) -> None:
    assert [place + 1 for place in tightening_order(count)] == order


@pytest.mark.parametrize("count", range(1, 25))
def test_every_screw_is_tightened_once(count: int) -> None:
    for pattern in PATTERNS:
        assert sorted(tightening_order(count, pattern)) == list(range(count))


@pytest.mark.parametrize("count", range(5, 25))
def test_no_screw_is_followed_by_its_neighbour_in_a_cross(count: int) -> None:
    assert not {abs(a - b) for a, b in pairwise(tightening_order(count))} & {1, count - 1}


def test_a_row_is_tightened_from_its_middle() -> None:
    assert tightening_order(7, "middle") == [3, 2, 4, 1, 5, 0, 6]


def test_each_pass_goes_over_all_screws_before_the_next() -> None:
    plan = tightening(4, 20.0, passes=(0.3, 0.6, 1.0))
    assert plan.passes_nm == pytest.approx((6.0, 12.0, 20.0))
    assert [place for place, _ in plan.steps] == [0, 2, 1, 3] * 3
    assert plan.loosening == (3, 1, 2, 0)
    assert plan.working().result.value == "1 3 2 4"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"count": 0}, "1 screw or more"),
        ({"count": 6.0}, "1 screw or more"),
        ({"count": True}, "1 screw or more"),
        ({"pattern": "star"}, "pattern must be one of x, middle, ring, pair"),
        ({"torque_nm": 0.0}, "torque must be between"),
        ({"torque_nm": float("nan")}, "torque must be between"),
        ({"torque_nm": "tight"}, "torque must be a number"),
        ({"passes": ()}, "passes must rise and end at 1"),
        ({"passes": (1.0, 0.5)}, "passes must rise and end at 1"),
        ({"passes": (0.5, 50.0)}, "pass as a share of the torque"),
    ],
)
def test_a_joint_that_cannot_be_is_refused(given: dict[str, object], said: str) -> None:
    with pytest.raises(OutOfRangeError, match=said):
        tightening(**{"count": 4, "torque_nm": 20.0, **given})  # type: ignore[arg-type]
