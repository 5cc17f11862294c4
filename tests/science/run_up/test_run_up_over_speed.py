"""An over-speed: by the figure of the type alone, the figure itself allowed."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.science.run_up import make_trace
from tickover.science.run_up.findings import Against, Severity
from tickover.science.run_up.measuring.trace import Trace
from tickover.science.run_up.over_speed import over_speed

HIGHEST = 8800.0


def trace(top: float) -> Trace:
    """A minute at 8,000 rpm that swings up to `top` once, for two seconds."""
    t = np.arange(0.0, 60.0, 0.1)
    return make_trace(t, 8000.0 + (top - 8000.0) * np.clip(1.0 - np.abs(t - 30.0) / 1.0, 0.0, 1.0))


def limit(never_above: float | None) -> Against:
    return Against(7200.0, 8800.0, 25.0, 10.0, never_above=never_above, authority="maker")


@pytest.mark.parametrize(("top", "passed"), [(8799.0, False), (8800.0, False), (8801.0, True)])
def test_the_highest_speed_itself_is_allowed_and_no_more(top: float, passed: bool) -> None:
    found = over_speed(trace(top), limit(HIGHEST))
    assert (found is not None) == passed
    if found:
        assert found.weight is Severity.DANGER and found.id == "rpm-stop"
        assert (
            found.seen == "The engine reached 8801 rpm."
            and "8800 rpm (the type’s limit, maker)" in found.against
        )
        assert found.start_s == pytest.approx(30.0, abs=0.2)


def test_no_highest_speed_is_supposed() -> None:
    assert over_speed(trace(15_000.0), limit(None)) is None
    assert over_speed(trace(15_000.0), None) is None


def test_it_is_shown_from_the_first_to_the_last_point_beyond() -> None:
    found = over_speed(trace(9600.0), limit(HIGHEST))
    assert found is not None
    assert (found.start_s, found.end_s) == (pytest.approx(29.6, abs=0.01), pytest.approx(30.4, abs=0.01))
