"""How a session stands: which answers count, and what they make the evidence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from math import prod

from tickover.science.faults import Evidence
from tickover.science.faults.next import SessionContext
from tickover.sheets import Cause, FaultTable, TypeSheet
from tickover.workshop.fault_finding.models import Answer, Cure, Outcome, Session, Weighting
from tickover.workshop.visits.models import Job

About, State = Answer.About, Answer.State
LATER = frozenset({State.NOT_LOOKED, State.CANNOT})
ALLOWED = frozenset({State.ELSEWHERE, State.WITHOUT})


@dataclass(frozen=True)
class SessionSheet:
    """A session with its answers, oldest first, and the type sheet it is judged by.

    `photos`: numbers of its photos that nobody withdrew; `weightings`: of each ground the one that counts.
    """

    session: Session
    sheet: TypeSheet
    answers: tuple[Answer, ...]
    outcome: Outcome | None
    cure: Cure | None = None
    weightings: tuple[Weighting, ...] = ()
    photos: frozenset[int] = frozenset()

    @property
    def open(self) -> bool:
        return self.outcome is None or self.outcome.kind == Outcome.Kind.TAKEN_UP

    @property
    def faults(self) -> FaultTable:
        assert self.sheet.faults is not None
        return self.sheet.faults

    @cached_property
    def titles(self) -> dict[str, str]:
        return self.faults.titles() | {group.id: group.title for group in self.sheet.access}

    @cached_property
    def live(self) -> tuple[Answer, ...]:
        """Answers that nobody took back, oldest first; what took them back is not one."""
        gone = {answer.takes_back_id for answer in self.answers}
        return tuple(a for a in self.answers if a.takes_back_id is None and a.pk not in gone)

    @property
    def last(self) -> Answer | None:
        """What would be taken back next."""
        return self.live[-1] if self.live else None

    @cached_property
    def counting(self) -> dict[tuple[str, str], Answer]:
        """The newest live answer about each thing."""
        return {(a.about, a.item): a for a in self.live if a.state != State.REFUSED}

    @cached_property
    def evidence(self) -> Evidence:
        return Evidence(
            seen=self._items(About.LOOK, State.SEEN),
            absent=self._items(About.LOOK, State.ABSENT),
            ruled_out=self._items(About.CAUSE, State.RULED_OUT),
        )

    @cached_property
    def bench(self) -> SessionContext:
        return SessionContext(
            open_now=self._items(About.OPENING, State.OPEN),
            photographed=frozenset(a.item for a in self.photographs),
            not_possible=self._items(About.LOOK, *LATER),
        )

    @property
    def photographs(self) -> tuple[Answer, ...]:
        """What stands for the photograph before a look; one whose photo was withdrawn stands no more."""
        return tuple(a for a in self.counting.values() if a.about == About.PHOTOGRAPH and self._kept(a))

    @property
    def factors(self) -> tuple[tuple[str, float], ...]:
        """How many times its odds by the table each cause has before any look. [-]"""
        causes = sorted({name for row in self.weightings for name in row.causes})
        whole = {c: prod(row.factor for row in self.weightings if c in row.causes) for c in causes}
        return tuple((cause, factor) for cause, factor in whole.items() if factor != 1)

    @property
    def asks_whether_cured(self) -> bool:
        """Whether a cause was put right, its job is done, and nobody said yet what came of it."""
        end = self.outcome
        if end is None or end.kind != Outcome.Kind.CAUSE or self.cure is not None:
            return False
        return end.job is None or ended_at(end.job) is not None

    @property
    def known(self) -> tuple[Answer, ...]:
        """What counts for or against something, newest first."""
        return tuple(a for a in reversed(self.counting.values()) if _tells(a))

    @property
    def later(self) -> tuple[Answer, ...]:
        """What was skipped, or cannot be done here."""
        return tuple(a for a in self.counting.values() if a.about == About.LOOK and a.state in LATER)

    @property
    def rested_on(self) -> frozenset[tuple[str, str]]:
        """Readings that were taken as an answer about something, or refused as one."""
        return frozenset((a.rests_on, a.item) for a in self.answers if a.rests_on)

    @property
    def ruled_out(self) -> tuple[str, ...]:
        """Titles of what was ruled out by looking at the part."""
        return tuple(self.titles[name] for name in sorted(self.evidence.ruled_out))

    def cause(self, cause_id: str) -> Cause:
        """Raises LookupError where this build has no such cause."""
        for cause in self.faults.causes:
            if cause.id == cause_id:
                return cause
        raise LookupError(f"this build's sheet has no cause {cause_id!r}")

    def _kept(self, answer: Answer) -> bool:
        """Rows from before photos were kept with a session name none, and stand by their word."""
        kind, _, number = answer.rests_on.partition("/")
        return answer.state in ALLOWED or kind != "photo" or int(number) in self.photos

    def _items(self, about: str, *states: str) -> frozenset[str]:
        return frozenset(a.item for a in self.counting.values() if a.about == about and a.state in states)


def ended_at(job: Job) -> datetime | None:
    """When a job was released, or closed without; None while it is open."""
    if hasattr(job, "release"):
        return job.release.at
    return job.closure.at if hasattr(job, "closure") else None


def _tells(answer: Answer) -> bool:
    return (answer.about == About.LOOK and answer.state not in LATER) or answer.about == About.CAUSE
