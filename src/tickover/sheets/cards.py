"""Work cards: one act for a step, its caution before it, and what to do on each finding."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from tickover.sheets.rows import BuildRow, Flag, Id, Row, Standing, Text

Act = Annotated[str, StringConstraints(pattern=r"^\S[^.!?]*\.$", max_length=90)]
"""One short sentence: starts at once, ends with its only full stop."""


class Finding(BuildRow):
    """Something that may be seen at a step, and what follows from it."""

    id: Id
    title: Text
    action: Literal["continue", "replace", "stop", "do not release"]
    advice: Text


class Step(BuildRow):
    """One act. `reading` names a limit, `joint` a stack, `fits` and `discards` name parts."""

    id: Id
    act: Act
    how: str = ""
    caution: str = ""
    tools: tuple[Text, ...] = ()
    reading: Id | None = None
    joint: Id | None = None
    fits: tuple[Id, ...] = ()
    discards: tuple[Id, ...] = ()
    critical: Flag = False
    second_check: Flag = False
    findings: tuple[Finding, ...] = ()
    standing: Standing
    source: str = ""


class Card(Row):
    """The whole job on one card, in the order it is done."""

    id: Id
    title: Text
    summary: Text
    cautions: tuple[Text, ...] = ()
    tools: tuple[Text, ...] = ()
    consumables: tuple[Text, ...] = ()
    kit: Id | None = None
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]

    def for_build(self, build_id: str) -> Card:
        """The card with the steps and findings of one build."""
        steps = tuple(_seen_on(step, build_id) for step in self.steps if step.on(build_id))
        return self.model_copy(update={"steps": steps})


def _seen_on(step: Step, build_id: str) -> Step:
    return step.model_copy(update={"findings": tuple(f for f in step.findings if f.on(build_id))})
