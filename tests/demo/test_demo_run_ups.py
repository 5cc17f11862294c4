"""The demo's logger table, read by the reader that users' files go through."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tickover.demo.runups import Behaviour, logger_csv
from tickover.formats.run_up_log import read_runup_log
from tickover.science import run_up

SOUND = Behaviour()
DAY = date(2025, 5, 4)


def read(seed: int = 7) -> run_up.RunUpJudgement:
    log = read_runup_log(logger_csv(np.random.default_rng(seed), SOUND), DAY)
    assert not log.damaged
    return run_up.analyse(run_up.make_trace(log.t_s, log.rpm, cht_c=log.cht_c, egt_c=log.egt_c), 8000.0)


def test_its_phases_are_those_of_a_run_up() -> None:
    phases = read().phases
    assert [p.name for p in phases] == ["idle", "opening", "full", "closing", "idle", "burst", "idle"]
    assert phases[2].end_s - phases[2].start_s == pytest.approx(62.0, abs=2.0)


def test_what_was_put_in_is_read_out() -> None:
    figures = read().figures
    assert figures["idle-rpm"] == pytest.approx(SOUND.idle_rpm, abs=10.0)
    assert figures["static-rpm-60"] == pytest.approx(SOUND.full_rpm, abs=15.0)
    # A lag of first order is short of its end by exp(-t / lag): here 62 s on a head that lags by 28 s.
    low, high = SOUND.cht_c
    assert figures["cht-highest"] == pytest.approx(high - (high - low) * np.exp(-62.0 / 28.0), abs=2.5)


def test_the_same_seed_gives_the_same_file() -> None:
    first, again = (logger_csv(np.random.default_rng(3), SOUND) for _ in range(2))
    assert first == again
