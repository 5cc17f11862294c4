"""What run-ups have against a release: a danger nobody spoke to, or a run-up that came in meanwhile."""

from __future__ import annotations

from datetime import date

from tickover.workshop.run_ups import of_visit, queries
from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import ExceedanceAnswer, Job
from tickover.workshop.visits.releasing.release_checks import Found, ReleaseWords
from tickover.workshop.visits.steps.exceedances import Exceedance

Runs = tuple[of_visit.JudgedRunUp, ...]


class RunUpCheck:
    """The run-ups of the job, each with its verdict of today."""

    def prepare(self, job: Job) -> Runs:
        """Every run-up judged. A recording takes seconds."""
        return of_visit.judged_run_ups(job)

    def check(self, sheet: JobSheet, prepared: Runs, words: ReleaseWords, today: date) -> Found:
        """Refuses where a run-up came in meanwhile, or found a danger that nobody speaks to."""
        if of_visit.entries(r.run for r in prepared) != of_visit.entries(queries.all_of_job(sheet.job)):
            return Found(("A run-up of this visit was added meanwhile. Read it first.",))
        runs = of_visit.before_and_after(prepared, (t.task for t in sheet.tasks), sheet.sheet)
        if runs.danger_to_speak_to and not words.despite.strip():
            put_right = "Fix it and run up again, or write why it is released anyway."
            return Found((f"{' '.join(runs.warnings)} {put_right}",))
        return Found(columns={"run_ups": runs.facts(words.despite.strip())})

    def exceedances(self, prepared: Runs, answers: tuple[ExceedanceAnswer, ...]) -> tuple[Exceedance, ...]:
        """What the run-ups say went beyond a limit that is never passed."""
        return of_visit.exceedances(prepared, answers)
