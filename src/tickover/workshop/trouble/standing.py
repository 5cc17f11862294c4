"""How a session stands: which answers count, and what they make the evidence."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from tickover.science.faults import Evidence
from tickover.science.faults_next import Bench
from tickover.sheets import Cause, FaultTable, TypeSheet
from tickover.workshop.trouble.models import Answer, Outcome, Session

About, State = Answer.About, Answer.State
LATER = frozenset({State.NOT_LOOKED, State.CANNOT})


@dataclass(frozen=True)
class SessionSheet:
    """A session with its answers, oldest first, and the type sheet it is judged by."""

    session: Session
    sheet: TypeSheet
    answers: tuple[Answer, ...]
    outcome: Outcome | None

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
    def bench(self) -> Bench:
        return Bench(
            open_now=self._items(About.OPENING, State.OPEN),
            photographed=self._items(About.PHOTOGRAPH, State.TAKEN),
            not_possible=self._items(About.LOOK, *LATER),
        )

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

    def _items(self, about: str, *states: str) -> frozenset[str]:
        return frozenset(a.item for a in self.counting.values() if a.about == about and a.state in states)


def _tells(answer: Answer) -> bool:
    return (answer.about == About.LOOK and answer.state not in LATER) or answer.about == About.CAUSE
