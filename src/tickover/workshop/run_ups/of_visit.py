"""The run-ups of a job: what each says, and what is to be known of them before the engine is released."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from tickover.formats.errors import FormatError
from tickover.language.amounts import day
from tickover.science.planning.access import opened_for
from tickover.science.run_up import RunUpFinding, Severity
from tickover.sheets import TaskRow, TypeSheet
from tickover.workshop.run_ups import queries
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits.models import ExceedanceAnswer, Job
from tickover.workshop.visits.steps.exceedances import RUN, Case, Exceedance, Spot, grouped

CARBURETTOR = "carburettor"
BREATHING = ("induction", "fuel system", "top end", "crankshaft", "exhaust")
CHANGING = ("replace", "adjust", "service")
"""How a sheet names what an engine breathes through, and the work that changes it."""
NEVER = "-stop"
"""How the findings of a run-up end that say a limit was passed which is never passed: cht-stop, egt-stop, rpm-stop."""


@dataclass(frozen=True)
class JudgedRunUp:
    """A run-up of a job and its verdict; `unread` where its file is gone or damaged."""

    run: RunUp
    answer: str
    weight: Severity | None
    do: str = ""
    dangers: tuple[RunUpFinding, ...] = ()

    @property
    def beyond(self) -> tuple[RunUpFinding, ...]:
        """What passed a stop temperature or the highest speed: an exceedance of the job."""
        return tuple(f for f in self.dangers if f.id.endswith(NEVER))

    @property
    def unread(self) -> bool:
        return self.weight is None

    @property
    def danger(self) -> bool:
        return self.weight is Severity.DANGER

    @property
    def off(self) -> bool:
        """Whether it stands outside a limit, or worse."""
        return self.weight is not None and self.weight <= Severity.OUTSIDE

    def facts(self) -> dict[str, Any]:
        """As a release holds it: the verdict of that day, whatever the baseline becomes."""
        run = self.run
        return {
            "entry": run.entry_sequence,
            "moment": run.before_or_after,
            "day": run.on_day.isoformat(),
            "sha256": run.evidence.sha256,
            "answer": self.answer,
            "danger": self.danger,
        }


@dataclass(frozen=True)
class JobRuns:
    """The run-ups before and after a job, the newest last; `changed` are its tasks that change how it runs."""

    before: tuple[JudgedRunUp, ...]
    after: tuple[JudgedRunUp, ...]
    changed: tuple[TaskRow, ...]

    @property
    def pair(self) -> tuple[JudgedRunUp, JudgedRunUp] | None:
        """The newest before and the newest after."""
        return (self.before[-1], self.after[-1]) if self.before and self.after else None

    @property
    def last(self) -> JudgedRunUp | None:
        """The run-up that tells how the engine leaves."""
        return self.after[-1] if self.after else None

    @property
    def danger(self) -> JudgedRunUp | None:
        """The last run-up, where it found a danger: work after which nobody ran it took none away."""
        newest = self.last or (self.before[-1] if self.before else None)
        return newest if newest and newest.danger else None

    @property
    def danger_to_speak_to(self) -> JudgedRunUp | None:
        """The same, unless all that it found is an exceedance, which has its own answer."""
        return self.danger if self.danger and len(self.danger.beyond) < len(self.danger.dangers) else None

    @property
    def warnings(self) -> tuple[str, ...]:
        """What whoever releases the engine has to know, each as a sentence."""
        if self.last is None:
            return (*self._not_put_right, *self._missing)
        named = f"The run-up after the work (journal entry {self.last.run.entry_sequence})"
        if self.last.unread:
            return (f"{named} cannot be read any more: nobody can say how the engine runs.",)
        if self.last.danger:
            return (f"{named} found a danger. {self.last.answer} {self.last.do}".strip(),)
        return (f"{named} is outside a limit. {self.last.answer}",) if self.last.off else ()

    @property
    def note(self) -> str:
        """The same in a few words; "" where there is nothing to note."""
        if self.last is None:
            if self.danger:
                return "danger in the last run-up"
            return "no run-up since the work" if self.changed else ""
        if self.last.unread:
            return "last run-up cannot be read"
        if self.last.danger:
            return "danger in the last run-up"
        return "last run-up outside a limit" if self.last.off else ""

    @property
    def _not_put_right(self) -> tuple[str, ...]:
        """A danger before the work, with no run-up after it."""
        if self.danger is None:
            return ()
        named = f"The run-up before the work (journal entry {self.danger.run.entry_sequence})"
        sentence = (
            f"{named} found a danger, and there is none after it. {self.danger.answer} {self.danger.do}"
        )
        return (sentence.strip(),)

    @property
    def _missing(self) -> tuple[str, ...]:
        titles = " and ".join(f"“{task.title}”" for task in self.changed)
        if not titles:
            return ()
        changes = "changes" if len(self.changed) == 1 else "change"
        return (f"{titles} {changes} how the engine runs: no run-up since the work.",)

    def facts(self, despite: str) -> dict[str, Any]:
        """What a release holds of them; `despite` says why it is signed where one found a danger."""
        runs = [judged.facts() for judged in (*self.before, *self.after)]
        return {"runs": runs, "warnings": list(self.warnings), "despite": despite}


def judged_run_ups(job: Job) -> tuple[JudgedRunUp, ...]:
    """Every run-up of a job with its verdict. It may take seconds: recordings are listened to."""
    return tuple(_judged(run) for run in queries.all_of_job(job))


def entries(runs: Iterable[RunUp]) -> list[int]:
    """Which run-ups they are, by their journal entries."""
    return sorted(run.entry_sequence for run in runs)


def before_and_after(runs: tuple[JudgedRunUp, ...], tasks: Iterable[TaskRow], sheet: TypeSheet) -> JobRuns:
    """Run-ups before and after the work, with the tasks of the job that change how the engine runs."""
    by_when = {m: tuple(t for t in runs if t.run.before_or_after == m) for m in RunUp.BeforeOrAfter.values}
    changed = tuple(task for task in tasks if changes_the_running(task, sheet))
    return JobRuns(by_when[RunUp.BeforeOrAfter.BEFORE], by_when[RunUp.BeforeOrAfter.AFTER], changed)


def changes_the_running(task: TaskRow, sheet: TypeSheet) -> bool:
    """Whether an engine may run otherwise after a task: richer, leaner, or drawing air.

    So it is where something is opened that the sheet opens for the carburettor, and where what it breathes
    through is opened to be renewed, set or cleaned (common practice, no source).
    """
    opened = _opened(task, sheet)
    carburettor = {name for t in sheet.programme if t.system == CARBURETTOR for name in _opened(t, sheet)}
    return bool(opened & carburettor or (opened and task.system in BREATHING and task.kind in CHANGING))


def _opened(task: TaskRow, sheet: TypeSheet) -> set[str]:
    """Openings of a task that cost time to open; what needs none, as the outside, opens nothing."""
    return {opening.id for opening in opened_for(task.access, sheet.access) if opening.minutes > 0}


def _judged(run: RunUp) -> JudgedRunUp:
    try:
        opened = queries.opened(run)
    except (OSError, FormatError):
        return JudgedRunUp(run, "Its file cannot be read.", None)
    worst = opened.findings[0]  # something is always left to say
    dangers = tuple(f for f in opened.findings if f.danger)
    return JudgedRunUp(run, opened.answer, worst.weight, worst.do, dangers)


def exceedances(
    runs: Iterable[JudgedRunUp], answers: tuple[ExceedanceAnswer, ...] = ()
) -> tuple[Exceedance, ...]:
    """What the run-ups of a job, before and after the work, say went beyond a limit that is never passed."""
    return grouped((_case(judged.run, found) for judged in runs for found in judged.beyond), answers)


def _case(run: RunUp, found: RunUpFinding) -> Case:
    when = f"{run.before_or_after} the work" if run.before_or_after else "of the visit"
    return Case(
        Spot(f"{RUN}{run.entry_sequence}", found.id),
        f"Run-up {when}, {day(run.on_day)}",
        f"{found.seen.rstrip('.')} ({found.against.rstrip('.')}; added by {run.by}, journal entry "
        f"{run.entry_sequence})",
        run.entry_sequence,
        run.at,
        frozenset({run.by_id}),
    )
