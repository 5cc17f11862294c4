"""Cautions of a step: whole where a visit comes to each first, one line after that, read and confirmed before a run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tickover.workshop.visits.steps.step_line import StepLine


@dataclass(frozen=True)
class Caution:
    """One caution at a step. `first`: no step before has it; `to_confirm`: this person has yet to say it was read."""

    text: str
    first: bool
    to_confirm: bool

    @property
    def whole(self) -> bool:
        """Whether it is shown whole; else as one line that opens."""
        return self.first or self.to_confirm


def cautions_at(steps: Iterable[StepLine], line: StepLine, confirmed: frozenset[str]) -> tuple[Caution, ...]:
    """The cautions of a step; `confirmed` are those that the person said they had read, in this visit."""
    before = {text for s in steps if s.number < line.number for text in paragraphs(s)}
    return tuple(
        Caution(text, text not in before, guards_life(line) and text not in confirmed)
        for text in paragraphs(line)
    )


def guards_life(line: StepLine) -> bool:
    """Whether its cautions have to be confirmed before it is marked done: the engine runs, the propeller turns."""
    return line.step.runs_engine


def unconfirmed(line: StepLine, confirmed: frozenset[str]) -> tuple[str, ...]:
    """Cautions that are still to be confirmed at a step."""
    return tuple(text for text in paragraphs(line) if guards_life(line) and text not in confirmed)


def paragraphs(line: StepLine) -> tuple[str, ...]:
    """Each caution of a step; one of a composed card has those of all cards it serves."""
    return tuple(text for text in line.step.caution.split("\n\n") if text)
