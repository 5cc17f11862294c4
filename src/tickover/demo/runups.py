"""Run-ups of the demo: a logger's tables that are an engine's baseline and a new one to look at, the two of a job
that cured it, and the recording of a telephone."""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import soundfile
from numpy.typing import NDArray

from tickover.demo.enginesound import engine_sound
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits.models import Job

ENGINE = "Tern 1"
WEEKS_BEFORE_END = (26, 17, 9, 3)
RATE_HZ = 2.0
SETTLES_CHT_S, SETTLES_EGT_S = 28.0, 6.0
HANGS_S, HUNTS_S = 5.0, 3.0
KNOTS = (
    (0.0, "idle"), (42.0, "idle"), (44.5, "full"), (106.0, "full"), (108.0, "idle"), (135.0, "idle"),
    (136.0, "full"), (138.0, "full"), (139.5, "idle"), (160.0, "idle"),
)  # fmt: skip
CLOSED_AT_S = (108.0, 139.5)

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Behaviour:
    """How the engine runs: speeds [rpm], what heads and exhaust settle at [°C], and the air of the day.

    `hangs_rpm` is by how much the speed stays too high as the throttle closes, `hunts_rpm` by how much it swings
    about at idle.
    """

    idle_rpm: float = 2080.0
    full_rpm: float = 7960.0
    cht_c: tuple[float, float] = (128.0, 188.0)
    egt_c: tuple[float, float] = (385.0, 578.0)
    air_c: float = 14.0
    pressure_hpa: float = 1009.0
    thrust_kgf: float | None = None
    hangs_rpm: float = 0.0
    hunts_rpm: float = 0.0


# An idle that hunts, and hangs when the throttle is closed: air comes in beside the carburettor. Then put right.
LEAKING = Behaviour(2310.0, 7880.0, (132.0, 194.0), (398.0, 596.0), 11.0, 1013.0, 79.0, 700.0, 140.0)
TIGHT = Behaviour(2090.0, 7930.0, (128.0, 187.0), (386.0, 576.0), 12.5, 1013.0, 82.0)

SOUND_HZ = 16_000
HEARD = (
    (0.0, 0.0), (0.8, 0.0), (1.3, 2040.0), (5.4, 2040.0), (6.2, 7560.0), (26.6, 7560.0), (27.4, 2040.0), (30.0, 2040.0)
)  # fmt: skip
"""What the telephone heard: the speed at a time [s, r/min]."""


def add_accepted(engine: Engine, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """A run in good order, taken into the baseline."""
    shift = rng.normal(0.0, 1.0, 4)
    sound = Behaviour(
        2080.0 + 12.0 * shift[0],
        7960.0 + 18.0 * shift[1],
        (128.0 + 2.0 * shift[2], 188.0 + 2.0 * shift[2]),
        (385.0 + 4.0 * shift[3], 578.0 + 4.0 * shift[3]),
        round(14.0 + 3.0 * float(shift[2]), 1),
        thrust_kgf=round(82.0 + float(shift[1])),
    )
    run = _add(engine, sound, who, rng, at)
    run_up_actions.accept(run, accepted=True, why="in good order, by ear and by figures", who=who, at=at)


def add_new(engine: Engine, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """A run that nobody judged yet: slower at full throttle and warmer than it always was."""
    worn = Behaviour(2082.0, 7690.0, (131.0, 196.0), (389.0, 592.0), 15.5, thrust_kgf=76.0)
    _add(engine, worn, who, rng, at)


def add_of_job(job: Job, before_or_after: str, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """The run-up before a leak is put right, and the one after it."""
    _add(
        job.engine,
        LEAKING if before_or_after == RunUp.BeforeOrAfter.BEFORE else TIGHT,
        who,
        rng,
        at,
        job,
        before_or_after,
    )


def add_recording(job: Job, who: Person, rng: np.random.Generator, at: datetime) -> None:
    """What a telephone beside the engine recorded before the work."""
    file = run_up_actions.Upload(recording_flac(rng), f"{at:%Y-%m-%d}-telephone.flac", {})
    remark = "Telephone on a stool, three metres beside the engine"
    circumstances = run_up_actions.Circumstances(
        at.date(), 9.0, remark=remark, job=job, before_or_after=RunUp.BeforeOrAfter.BEFORE
    )
    run_up_actions.add_run(job.engine, file, circumstances, who=who, at=at)


def recording_flac(rng: np.random.Generator) -> bytes:
    """Half a minute of sound: started, idle, opening, full throttle, closing, idle."""
    t_s = np.arange(0.0, HEARD[-1][0], 1.0 / SOUND_HZ)
    rpm = np.interp(t_s, [at for at, _ in HEARD], [speed for _, speed in HEARD])
    sound, _ = engine_sound(rng, np.where(rpm > 600.0, rpm, 0.0), SOUND_HZ)
    out = io.BytesIO()
    soundfile.write(out, 0.5 * sound, SOUND_HZ, format="FLAC", subtype="PCM_16")
    return out.getvalue()


def logger_csv(rng: np.random.Generator, behaviour: Behaviour) -> bytes:
    """A logger's table: warm idle, opening, a minute at full throttle, closing, idle, a burst, idle."""
    t_s = np.arange(0.0, KNOTS[-1][0], 1.0 / RATE_HZ)
    speeds = {"idle": behaviour.idle_rpm, "full": behaviour.full_rpm}
    rpm = np.interp(t_s, [t for t, _ in KNOTS], [speeds[name] for _, name in KNOTS])
    share = (rpm - behaviour.idle_rpm) / (behaviour.full_rpm - behaviour.idle_rpm)
    rpm = rpm + _astray(t_s, behaviour)
    cht_c = _settling(share, behaviour.cht_c, SETTLES_CHT_S) + rng.normal(0.0, 0.4, t_s.size)
    egt_c = _settling(share, behaviour.egt_c, SETTLES_EGT_S) + rng.normal(0.0, 2.0, t_s.size)
    rpm = rpm + rng.normal(0.0, 14.0, t_s.size)
    rows = (f"{t:.1f},{n:.0f},{c:.1f},{e:.0f}" for t, n, c, e in zip(t_s, rpm, cht_c, egt_c, strict=True))
    return "\n".join(("Time [s],Engine speed [1/min],CHT [deg C],EGT [deg C]", *rows, "")).encode()


def _astray(t_s: Floats, behaviour: Behaviour) -> Floats:
    """What the speed hunts by where the throttle is closed, and hangs too high by after that. [r/min]"""
    closed = np.interp(t_s, [t for t, _ in KNOTS], [float(name == "idle") for _, name in KNOTS]) == 1.0
    hunts = behaviour.hunts_rpm * np.sin(2.0 * np.pi * t_s / HUNTS_S)
    hangs = np.zeros_like(t_s)
    for at in CLOSED_AT_S:
        hangs += np.exp(-(t_s - at) / HANGS_S) * (t_s >= at)
    astray: Floats = closed * (hunts + behaviour.hangs_rpm * hangs)
    return astray


def _settling(share: Floats, ends: tuple[float, float], settles_s: float) -> Floats:
    """A temperature that follows the throttle's share of the way between its ends, with a lag of first order."""
    value, found = ends[0], np.empty(share.size)
    for n, wanted in enumerate(ends[0] + share * (ends[1] - ends[0])):
        value += (wanted - value) / (settles_s * RATE_HZ)
        found[n] = value
    return found


def _add(
    engine: Engine,
    runs_so: Behaviour,
    who: Person,
    rng: np.random.Generator,
    at: datetime,
    job: Job | None = None,
    before_or_after: str = "",
) -> RunUp:
    file = run_up_actions.Upload(
        logger_csv(rng, runs_so), f"{at:%Y-%m-%d}-{before_or_after or 'the'}-run-up.csv", {}
    )
    air, thrust = (runs_so.air_c, runs_so.pressure_hpa, 62.0), runs_so.thrust_kgf
    circumstances = run_up_actions.Circumstances(
        at.date(), *air, petrol_to_oil=50.0, thrust_kgf=thrust, job=job, before_or_after=before_or_after
    )
    return run_up_actions.add_run(engine, file, circumstances, who=who, at=at)
