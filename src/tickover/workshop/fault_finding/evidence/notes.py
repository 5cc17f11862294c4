"""What the workshop knows of the engine beside any look: told as information, and counted for nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from tickover.formats.text import units
from tickover.language.amounts import day, hours, per_cent
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.working import Working
from tickover.science.engine.cylinder import swept_cm3
from tickover.science.engine.induction_leak import InductionLeak, induction_leak
from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.sheets import Cause, TypeSheet
from tickover.workshop.components import queries as components
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.fault_finding.evidence.from_readings import readings_by_limit
from tickover.workshop.fault_finding.evidence.prior_adjustments import RECENT_DAYS, RECENT_H
from tickover.workshop.fault_finding.reasoning import Diagnosis
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.readings.computed import pressure
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job, Reading

SHOWN = 6
ROOM_C = 20.0
VACUUM = "case-vacuum-loss"
PRESSURE = "case-pressure-loss"


@dataclass(frozen=True)
class Note:
    """Something to know. `job_number`, `task_id`: where it comes from; `working`: how its number came about."""

    words: str
    job_number: str = ""
    task_id: str = ""
    working: Working | None = None


def notes(sheet: SessionSheet, reasoned: Diagnosis, at: datetime) -> list[Note]:
    """Work done lately where a cause touches it, hours on parts, the share of a leak."""
    touched = _causes_by_task(sheet, reasoned)
    return [
        *_done_lately(sheet, touched, at),
        *_leaks(sheet),
        *_components(sheet, at),
    ]


def _causes_by_task(sheet: SessionSheet, reasoned: Diagnosis) -> dict[str, list[Cause]]:
    """Causes that a task of the programme cures; the task of the likeliest cause first."""
    now, found = reasoned.now, defaultdict(list)
    for cause in sorted(sheet.faults.causes, key=lambda c: -(now.share(c.id) if now else 0.0)):
        if cause.task:
            found[cause.task].append(cause)
    return found


def _done_lately(sheet: SessionSheet, touched: dict[str, list[Cause]], at: datetime) -> list[Note]:
    newest: dict[str, Job] = {}
    for job in visits.jobs_of(sheet.session.engine):
        if hasattr(job, "release") and job.task_id in touched:
            newest.setdefault(job.task_id, job)
    now_h, found = engine_time.total_time(sheet.session.engine).hours_h, []
    for task_id in (task_id for task_id in touched if task_id in newest):
        job, causes = newest[task_id], touched[task_id]
        gone_h, gone_days = now_h - job.release.engine_h, (at - job.release.at).days
        if gone_h <= RECENT_H and gone_days <= RECENT_DAYS:
            words = (
                f"{sheet.sheet.task(task_id).title}: done {hours(gone_h)} h ago, on {day(job.release.at)}. "
                f"{_named(causes)} is then not likely by wear; by that work itself it may be."
            )
            found.append(Note(words, job.number, task_id))
    return found[:SHOWN]


def _components(sheet: SessionSheet, at: datetime) -> Iterator[Note]:
    for line in components.components_on(sheet.session.engine, at):
        kind, name = line.component.get_kind_display().capitalize(), str(line.component)
        named = name if name.startswith(kind) else f"{kind} {name}"
        yield Note(f"{named}: {hours(line.time.hours_h)} h.")


def _leaks(sheet: SessionSheet) -> Iterator[Note]:
    newest = (rows[0] for name, rows in readings_by_limit(sheet).items() if name in (PRESSURE, VACUUM))
    for reading in newest:
        if share := _induction_leak(sheet.sheet, reading):
            words = (
                f"The leak of the case test would be {per_cent(float(share.idle_share))} of the air at idle and "
                f"{per_cent(float(share.full_share))} at full throttle."
            )
            yield Note(words, reading.job.number, working=share.working())


def _induction_leak(sheet: TypeSheet, reading: Reading) -> InductionLeak | None:
    """The leak beside the engine's air; None where the reading or the sheet lacks what it takes."""
    geometry, read = sheet.geometry, {row["name"]: row["value"] for row in reading.inputs}
    volume_cm3 = read.get(pressure.VOLUME) or geometry.case_volume_cm3
    if not volume_cm3 or pressure.MINUTES not in read or reading.value <= 0:
        return None
    try:
        decay = leak_from_decay(
            units.convert(read[pressure.START], reading.unit, "Pa"),
            units.convert(read[pressure.END], reading.unit, "Pa"),
            read[pressure.MINUTES],
            1e-6 * volume_cm3,
            read.get(pressure.START_C, ROOM_C) + pressure.KELVIN,
            read.get(pressure.END_C, ROOM_C) + pressure.KELVIN,
            outside_pa=100.0 * read.get(pressure.AIR, pressure.STANDARD_AIR_HPA),
            # Only the leak is used, which these do not change; how sure the reading is, its own verdict says.
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        )
        return induction_leak(abs(decay.leak_l_min), swept_cm3(geometry.bore_mm, geometry.stroke_mm))
    except OutOfRangeError:  # a reading far from any test of a case says nothing of its leak
        return None


def _named(causes: list[Cause]) -> str:
    return " and ".join(f"“{cause.title}”" for cause in causes[:2])
