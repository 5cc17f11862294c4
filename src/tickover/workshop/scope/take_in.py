"""Which engines should be taken in: one row an engine, worst first, with what its due tasks come to."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from tickover.science.planning.access import visit_minutes
from tickover.workshop.programme.due_line import EngineLine
from tickover.workshop.register import queries as register

NOW = ("over tolerance", "due")


@dataclass(frozen=True)
class TakeIn:
    """An engine with something due or coming up. `minutes` of what is due now, by the programme. [min]"""

    line: EngineLine
    due: int
    overdue: int
    soon: int
    minutes: float
    not_known: int = 0

    @property
    def counts(self) -> str:
        """For example "14 due, 2 overdue", "3 due, 9 not known" or "3 coming up"."""
        if not self.due:
            return f"{self.soon} coming up"
        known = self.due - self.not_known
        parts = [f"{known} due"] if known or not self.not_known else []
        parts += [f"{self.overdue} overdue"] if self.overdue else []
        parts += [f"{self.not_known} not known"] if self.not_known else []
        return ", ".join(parts)

    @property
    def hours_words(self) -> str:
        return f"{self.minutes / 60.0:.1f} h" if self.minutes else ""


def take_in(engines: Iterable[EngineLine], on_the_bench: Collection[int]) -> list[TakeIn]:
    """Engines that are not on the bench and have something due or coming up, most overdue first."""
    found = [_row(line) for line in engines if not line.needs_nothing and line.engine.pk not in on_the_bench]
    return sorted(found, key=lambda row: (not row.overdue, not row.due, -row.overdue, -row.due))


def _row(line: EngineLine) -> TakeIn:
    due = [d for d in line.lines if d.state in NOW]
    with_card = [d.task for d in due if d.task.card and not d.left_to_choose]
    minutes = visit_minutes(with_card, register.build_of(line.engine).access).total_min if with_card else 0.0
    overdue = sum(d.state == "over tolerance" for d in due)
    soon = sum(d.state == "due soon" for d in line.lines)
    return TakeIn(line, len(due), overdue, soon, minutes, len(line.not_known))
