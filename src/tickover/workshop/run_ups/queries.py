"""Reads of run-ups: one taken apart again, those of an engine, its baseline, the two of a job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import QuerySet

from tickover.science import run_up
from tickover.sheets import TypeSheet
from tickover.workshop.kernel import evidence_files
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups.models import Acceptance, KnownColumns, NeedleNote, RunUp
from tickover.workshop.run_ups.uploads import evidence
from tickover.workshop.visits.models import Job

KELVIN = 273.15


@dataclass(frozen=True)
class RunLine:
    """A run as a list shows it."""

    run: RunUp
    acceptance: Acceptance | None

    @property
    def accepted(self) -> bool:
        return self.acceptance is not None and self.acceptance.accepted

    def _figure(self, name: str) -> float | None:
        found: float | None = self.run.figures.get(name)
        return found

    @property
    def static(self) -> float | None:
        return self._figure("static-rpm-60") or self._figure("static-rpm-20")

    @property
    def idle(self) -> float | None:
        return self._figure("idle-rpm")

    @property
    def cht(self) -> float | None:
        return self._figure("cht-highest")

    @property
    def state(self) -> str:
        if self.acceptance is None:
            return "not yet in the baseline"
        return "in the baseline" if self.acceptance.accepted else "left out of the baseline"


@dataclass(frozen=True, eq=False)
class Opened:
    """A run derived afresh from its file, judged against its type and its own engine."""

    line: RunLine
    sheet: TypeSheet
    read: evidence.ReadRun
    baseline: dict[str, run_up.Baseline]
    findings: tuple[run_up.RunUpFinding, ...]

    @property
    def answer(self) -> str:
        return run_up.answer(self.findings)

    @property
    def differs(self) -> list[str]:
        """Figures that do not come out as they were kept."""
        kept = self.line.run.figures
        return [id for id, value in self.read.figures.items() if id in kept and kept[id] != value]


def run_of(engine: Engine, sequence: int) -> RunUp | None:
    return _runs().filter(engine=engine, entry_sequence=sequence).first()


def lines(engine: Engine | None = None, limit: int = 200) -> list[RunLine]:
    """Runs, newest first; of one engine, or of all."""
    rows = _runs().filter(engine=engine) if engine else _runs()
    return _lines(rows.order_by("-on_day", "-entry_sequence")[:limit])


def newest(engine: Engine) -> RunUp | None:
    return _runs().filter(engine=engine).order_by("-on_day", "-entry_sequence").first()


def newest_acceptance(run: RunUp) -> Acceptance | None:
    """The newest word on whether it counts."""
    return Acceptance.objects.filter(run=run).select_related("by").order_by("-entry_sequence").first()


def baseline(engine: Engine, without: RunUp | None = None) -> dict[str, run_up.Baseline]:
    """Baseline of an engine from its accepted runs; the run that is judged is no part of what judges it."""
    accepted = [line.run for line in lines(engine, limit=1000) if line.accepted]
    others = [run for run in accepted if without is None or run.pk != without.pk]
    return run_up.baseline_of([run_up.reference_figures(run.figures, noted_of(run)) for run in others])


def noted_of(run: RunUp) -> run_up.Noted:
    """The air and the thrust that were noted beside a run."""
    return run_up.Noted(
        None if run.air_c is None else run.air_c + KELVIN,
        None if run.pressure_hpa is None else run.pressure_hpa * 100.0,
        None if run.humidity_percent is None else run.humidity_percent / 100.0,
        run.thrust_kgf,
    )


def opened(run: RunUp) -> Opened:
    """A run derived again. Raises OSError where its file is gone, FormatError where it is damaged."""
    sheet = register.build_of(run.engine)
    read = evidence.read_run(evidence_files.place_of(run.evidence.sha256), run.on_day, run.columns, sheet)
    read = replace(read, run=run_up.with_noted(read.run, noted_of(run)))
    own = baseline(run.engine, without=run)
    found = run_up.judge(read.run, evidence.limits_of(sheet), own)
    return Opened(RunLine(run, newest_acceptance(run)), sheet, read, own, found)


def pairs(lines: Iterable[RunLine]) -> dict[Job, dict[str, RunUp]]:
    """Of each job with a run before and one after it, the newest of each."""
    by_job: dict[Job, dict[str, RunUp]] = {}
    for run in sorted((line.run for line in lines), key=lambda run: (run.on_day, run.entry_sequence)):
        if run.job:
            by_job.setdefault(run.job, {})[run.before_or_after] = run
    return {job: found for job, found in by_job.items() if len(found) == 2}


def all_of_job(job: Job) -> list[RunUp]:
    """Every run of a job; the one that was run last stands last."""
    return list(_runs().filter(job=job).order_by("on_day", "entry_sequence"))


def known_columns(fingerprint: str) -> dict[str, Any]:
    """What was said last of a logger with these headers; {} for nothing."""
    row = KnownColumns.objects.filter(fingerprint=fingerprint).order_by("-entry_sequence").first()
    return dict(row.columns) if row else {}


def needle_notes(engine: Engine) -> list[NeedleNote]:
    """Newest first."""
    rows = NeedleNote.objects.filter(engine=engine).select_related("by", "run")
    return list(rows.order_by("-entry_sequence"))


def _runs() -> QuerySet[RunUp]:
    return RunUp.objects.select_related("engine", "evidence", "job", "by")


def _lines(runs: Iterable[RunUp]) -> list[RunLine]:
    found = list(runs)
    rows = Acceptance.objects.filter(run__in=found).select_related("by").order_by("entry_sequence")
    newest_of = {row.run_id: row for row in rows}
    return [RunLine(run, newest_of.get(run.pk)) for run in found]
