"""Work cards: one act for a step, its caution before it, and what to do on each finding."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationInfo, field_validator

from tickover.sheets.rows import Build, BuildRow, Flag, Id, Standing, Text

Act = Annotated[str, StringConstraints(pattern=r"^\S[^.!?]*\.$", max_length=90)]
"""One short sentence: starts at once, ends with its only full stop."""


class Finding(BuildRow):
    """Something that may be seen at a step, and what follows: "add task" puts `task` on the engine's list."""

    id: Id
    title: Text
    action: Literal["continue", "replace", "add task", "stop", "do not release"]
    advice: Text
    task: Id | None = Field(default=None, validate_default=True)

    @field_validator("task")
    @classmethod
    def _adds_what_it_names(cls, task: str | None, info: ValidationInfo) -> str | None:
        adds = info.data.get("action") == "add task"
        if adds and task is None:
            raise ValueError('the action is "add task"; name the task of the programme that is added')
        if task is not None and not adds:
            raise ValueError('only a finding with action = "add task" names a task')
        return task


class Step(BuildRow):
    """One act. `reading` names a limit, `joint` a stack, `fits` and `discards` name parts.

    `moment`: a reading "as found" is evidence of the wear and may be outside its limit; "as left" may not.
    """

    id: Id
    act: Act
    how: str = ""
    caution: str = ""
    tools: tuple[Text, ...] = ()
    reading: Id | None = None
    moment: Literal["as found", "as left", ""] = ""
    joint: Id | None = None
    fits: tuple[Id, ...] = ()
    discards: tuple[Id, ...] = ()
    critical: Flag = False
    second_check: Flag = False
    findings: tuple[Finding, ...] = ()
    standing: Standing
    source: str = ""

    @field_validator("moment")
    @classmethod
    def _a_moment_of_a_reading(cls, moment: str, info: ValidationInfo) -> str:
        if moment and info.data.get("reading", "unknown") is None:
            raise ValueError("this step takes no reading; name one, or leave moment out")
        return moment


class Card(BuildRow):
    """The whole job on one card, in the order it is done."""

    id: Id
    title: Text
    summary: Text
    cautions: tuple[Text, ...] = ()
    tools: tuple[Text, ...] = ()
    consumables: tuple[Text, ...] = ()
    kit: Id | None = None
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]

    def for_build(self, build: Build) -> Card:
        """The card with the steps and findings of one build."""
        steps = tuple(_seen_on(step, build) for step in self.steps if step.on(build))
        return self.model_copy(update={"steps": steps})


def _seen_on(step: Step, build: Build) -> Step:
    if all(finding.on(build) for finding in step.findings):
        return step
    return step.model_copy(update={"findings": tuple(f for f in step.findings if f.on(build))})
