"""Run-ups of one demo engine as a logger wrote them: four that are its baseline, and a new one to look at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine
from tickover.workshop.runs import actions as runs
from tickover.workshop.runs.models import RunUp

ENGINE = "Tern 1"
WEEKS_BEFORE_END = (26, 17, 9, 3)
RATE_HZ = 2.0
SETTLES_CHT_S, SETTLES_EGT_S = 28.0, 6.0
KNOTS = ((0.0, "idle"), (42.0, "idle"), (44.5, "full"), (106.0, "full"), (108.0, "idle"), (135.0, "idle"))

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Behaviour:
    """How the engine runs: speeds [rpm], what heads and exhaust settle at [°C], and the air of the day."""

    idle_rpm: float = 2080.0
    full_rpm: float = 7960.0
    cht_c: tuple[float, float] = (128.0, 188.0)
    egt_c: tuple[float, float] = (385.0, 578.0)
    air_c: float = 14.0
    pressure_hpa: float = 1009.0


def add_accepted(engine: Engine, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """A run in good order, taken into the baseline."""
    shift = rng.normal(0.0, 1.0, 4)
    sound = Behaviour(
        2080.0 + 12.0 * shift[0],
        7960.0 + 18.0 * shift[1],
        (128.0 + 2.0 * shift[2], 188.0 + 2.0 * shift[2]),
        (385.0 + 4.0 * shift[3], 578.0 + 4.0 * shift[3]),
        round(14.0 + 3.0 * float(shift[2]), 1),
    )
    run = _add(engine, sound, who, rng, at)
    runs.accept(run, accepted=True, why="in good order, by ear and by figures", who=who, at=at)


def add_new(engine: Engine, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """A run that nobody judged yet: slower at full throttle and warmer than it always was."""
    worn = Behaviour(2082.0, 7690.0, (131.0, 196.0), (389.0, 592.0), 15.5)
    _add(engine, worn, who, rng, at)


def logger_csv(rng: np.random.Generator, behaviour: Behaviour) -> bytes:
    """A logger's table: warm idle, opening, a minute at full throttle, closing, idle."""
    t_s = np.arange(0.0, KNOTS[-1][0], 1.0 / RATE_HZ)
    speeds = {"idle": behaviour.idle_rpm, "full": behaviour.full_rpm}
    rpm = np.interp(t_s, [t for t, _ in KNOTS], [speeds[name] for _, name in KNOTS])
    share = (rpm - behaviour.idle_rpm) / (behaviour.full_rpm - behaviour.idle_rpm)
    cht_c = _settling(share, behaviour.cht_c, SETTLES_CHT_S) + rng.normal(0.0, 0.4, t_s.size)
    egt_c = _settling(share, behaviour.egt_c, SETTLES_EGT_S) + rng.normal(0.0, 2.0, t_s.size)
    rpm = rpm + rng.normal(0.0, 14.0, t_s.size)
    rows = (f"{t:.1f},{n:.0f},{c:.1f},{e:.0f}" for t, n, c, e in zip(t_s, rpm, cht_c, egt_c, strict=True))
    return "\n".join(("Time [s],Engine speed [1/min],CHT [deg C],EGT [deg C]", *rows, "")).encode()


def _settling(share: Floats, ends: tuple[float, float], settles_s: float) -> Floats:
    """A temperature that follows the throttle's share of the way between its ends, with a lag of first order."""
    value, found = ends[0], np.empty(share.size)
    for n, wanted in enumerate(ends[0] + share * (ends[1] - ends[0])):
        value += (wanted - value) / (settles_s * RATE_HZ)
        found[n] = value
    return found


def _add(engine: Engine, behaviour: Behaviour, who: Person, rng: np.random.Generator, at: datetime) -> RunUp:
    file = runs.Upload(logger_csv(rng, behaviour), f"{at:%Y-%m-%d}-run-up.csv", {})
    beside = runs.Circumstances(at.date(), behaviour.air_c, behaviour.pressure_hpa, 62.0, petrol_to_oil=50.0)
    return runs.add_run(engine, file, beside, who=who, at=at)
