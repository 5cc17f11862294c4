"""What deferred defects have against a release: one that is over its limit and not put right by the job."""

from __future__ import annotations

from datetime import date

from tickover.workshop.defects import queries
from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import ExceedanceAnswer, Job
from tickover.workshop.visits.releasing.release_checks import Found, ReleaseWords
from tickover.workshop.visits.steps.exceedances import Exceedance


class DefectCheck:
    """The open deferred defects of the engine."""

    def prepare(self, job: Job) -> None:
        """Nothing here takes time."""

    def check(self, sheet: JobSheet, prepared: None, words: ReleaseWords, today: date) -> Found:
        """Refuses where a defect is over its limit."""
        return Found(tuple(queries.over_limit(sheet.job, today)))

    def exceedances(self, prepared: None, answers: tuple[ExceedanceAnswer, ...]) -> tuple[Exceedance, ...]:
        """None: a defect is no exceedance."""
        return ()
