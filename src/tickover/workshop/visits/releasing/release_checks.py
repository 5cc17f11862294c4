"""What else may be against a release: whoever has something against it registers a check here.

`visits` knows the steps of a job. Deferred defects and run-ups are kept by places above it, which it may not import:
each registers its check when the program starts (`apps.py`), and `visits.actions.release` asks every one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import ExceedanceAnswer, Job
from tickover.workshop.visits.steps.exceedances import Exceedance


@dataclass(frozen=True)
class ReleaseWords:
    """What the releasing person writes: what was not done, what limits the engine, why despite a danger."""

    not_done: str = ""
    limitations: str = ""
    despite: str = ""


@dataclass(frozen=True)
class Found:
    """What a check found: sentences that refuse the release, and the columns of the release that hold the rest."""

    against: tuple[str, ...] = ()
    columns: dict[str, Any] = field(default_factory=dict)


class ReleaseCheck(Protocol):
    """One check. `prepare` runs before anything is locked and may take seconds; the rest is given what it made."""

    def prepare(self, job: Job) -> Any: ...

    def check(self, sheet: JobSheet, prepared: Any, words: ReleaseWords, today: date) -> Found: ...

    def exceedances(self, prepared: Any, answers: tuple[ExceedanceAnswer, ...]) -> tuple[Exceedance, ...]: ...


_checks: dict[str, ReleaseCheck] = {}


def register(name: str, check: ReleaseCheck) -> None:
    """Have a check asked at every release, in the order of registering."""
    _checks[name] = check


@dataclass(frozen=True)
class Prepared:
    """What every check made ready before the job was locked."""

    by_check: dict[str, Any]

    def found(self, sheet: JobSheet, words: ReleaseWords, today: date) -> Iterable[Found]:
        """What each check says, one after the other."""
        return (_checks[name].check(sheet, made, words, today) for name, made in self.by_check.items())

    def exceedances(self, sheet: JobSheet) -> tuple[Exceedance, ...]:
        """The exceedances of the job's steps, and those that the checks know of."""
        others = (_checks[name].exceedances(made, sheet.answers) for name, made in self.by_check.items())
        return (*sheet.exceedances, *(e for found in others for e in found))


def prepare(job: Job) -> Prepared:
    """Everything that takes time, before anything is locked: a recording takes seconds to analyse."""
    return Prepared({name: check.prepare(job) for name, check in _checks.items()})
