"""Work cards: one act for a step, its caution before it, and what to do on each finding."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationInfo, field_validator

from tickover.sheets.schema.rows import Authority, Build, BuildRow, Flag, Id, Text

ActSentence = Annotated[str, StringConstraints(pattern=r"^\S[^.!?]*\.$", max_length=90)]
"""One short sentence: starts at once, ends with its only full stop."""
Seen = Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+\.[a-z0-9-]+$")]
"""A finding of a step, "step.finding"."""


class Finding(BuildRow):
    """Something that may be seen at a step, and what follows: "stop" keeps the steps behind it on the card waiting
    until it is put right and the step is done again.

    `task` is what cures it: "add task" asks for it, and it may be deferred; with "stop" or "do not release" it is
    asked for as well, and nothing is deferred. `before`: the latest that it is put right; "next run" keeps the engine
    from running, also where the card goes on.
    """

    id: Id
    title: Text
    action: Literal["continue", "replace", "add task", "stop", "do not release"]
    advice: Text
    task: Id | None = Field(default=None, validate_default=True)
    before: Literal["next step", "next run", "next flight", ""] = ""

    @field_validator("task")
    @classmethod
    def _adds_what_it_names(cls, task: str | None, info: ValidationInfo) -> str | None:
        adds = info.data.get("action") == "add task"
        if adds and task is None:
            raise ValueError('the action is "add task"; name the task of the programme that is added')
        if task is not None and info.data.get("action") in ("continue", "replace"):
            raise ValueError("only a finding that adds a task, stops, or forbids the release names a task")
        return task


class Step(BuildRow):
    """One act. `reading` names a limit, `joint` a stack, `fits` and `discards` name parts.

    `does`: the row of the acts that says what it opens, needs, spoils and proves; the one of its own id, where it
    is left out. `place`: where its limit is read, where it is read at several places. `only_on`: it is done only
    where one of these findings was made, each "step.finding" of an earlier step of the card.
    `moment`: a reading "as found" is evidence of the wear and may be outside its limit; "as left" may not.
    `at_joint`: what is done at the joint; its torque is given where the joint is closed.
    `hold_before`: later steps of the card that wait until the second check of this one is in. `no_hold` says
    why none does. `runs_engine`: the engine runs, so the step waits for every open second check.
    `photo`: it is not done without a photo of it, or the reason why there is none. `makes_safe`: it leaves the
    engine safe, so it may be done although a finding before it stops the card.
    """

    id: Id
    does: Id | None = None
    act: ActSentence
    how: str = ""
    caution: str = ""
    tools: tuple[Text, ...] = ()
    reading: Id | None = None
    moment: Literal["as found", "as left", ""] = ""
    place: str = ""
    only_on: tuple[Seen, ...] = ()
    joint: Id | None = None
    at_joint: Literal["opens", "looks", "fits", "tightens", ""] = ""
    fits: tuple[Id, ...] = ()
    discards: tuple[Id, ...] = ()
    critical: Flag = False
    second_check: Flag = False
    hold_before: tuple[Id, ...] = ()
    no_hold: str = ""
    runs_engine: Flag = False
    makes_safe: Flag = False
    photo: Flag = False
    findings: tuple[Finding, ...] = ()
    authority: Authority
    source: str = ""

    @field_validator("moment")
    @classmethod
    def _a_moment_of_a_reading(cls, moment: str, info: ValidationInfo) -> str:
        if moment and info.data.get("reading", "unknown") is None:
            raise ValueError("this step takes no reading; name one, or leave moment out")
        return moment

    @field_validator("at_joint")
    @classmethod
    def _at_the_joint_it_names(cls, work: str, info: ValidationInfo) -> str:
        if work and info.data.get("joint", "unknown") is None:
            raise ValueError("this step is at no joint; name one, or leave at_joint out")
        return work

    @field_validator("hold_before", "no_hold")
    @classmethod
    def _a_hold_of_a_second_check(cls, hold: tuple[str, ...] | str, info: ValidationInfo) -> object:
        if hold and not info.data.get("second_check", True):
            raise ValueError(
                "only a step with second_check = true holds other steps; set it, or leave this out"
            )
        return hold

    @field_validator("no_hold")
    @classmethod
    def _holds_or_says_why_not(cls, why: str, info: ValidationInfo) -> str:
        if why and info.data.get("hold_before"):
            raise ValueError("hold_before names steps that wait; leave one of the two out")
        return why

    @property
    def act_id(self) -> str:
        """The act it does."""
        return self.does or self.id

    @property
    def gives_torque(self) -> bool:
        """Whether the torque and the tightening order of its joint belong to it; so too where it does not say."""
        return self.joint is not None and self.at_joint not in ("opens", "looks")

    @property
    def renews(self) -> tuple[str, ...]:
        """Parts of which a new one is fitted and the old one discarded."""
        return tuple(part for part in self.fits if part in self.discards)

    @property
    def only_fits(self) -> tuple[str, ...]:
        """Parts that are fitted where no old one comes off at this step."""
        return tuple(part for part in self.fits if part not in self.discards)

    @property
    def only_discards(self) -> tuple[str, ...]:
        """Parts that are discarded and not replaced at this step."""
        return tuple(part for part in self.discards if part not in self.fits)


class Card(BuildRow):
    """The whole job on one card, in the order it is done.

    `as_found`: it shows the engine as it came in, so it goes before all cards that change what it reads. `found_open`,
    `left_open`, `found_in`, `left_in`: openings, and things stuffed into them, as the card finds and leaves them.
    `for_owner`: what was done, in the past and in the owner's words, as the hand-back sheet says it.
    `proves`: what it is done for; its steps prove each of these, whatever else they do.
    """

    id: Id
    title: Text
    summary: Text
    for_owner: str = ""
    cautions: tuple[Text, ...] = ()
    tools: tuple[Text, ...] = ()
    consumables: tuple[Text, ...] = ()
    kit: Id | None = None
    as_found: Flag = False
    found_open: tuple[Id, ...] = ()
    left_open: tuple[Id, ...] = ()
    found_in: tuple[Id, ...] = ()
    left_in: tuple[Id, ...] = ()
    proves: tuple[Id, ...] = ()
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]

    def for_build(self, build: Build) -> Card:
        """The card with the steps and findings of one build."""
        here = tuple(step for step in self.steps if step.on(build))
        ids = {step.id for step in here}
        return self.model_copy(update={"steps": tuple(_seen_on(step, build, ids) for step in here)})


def _seen_on(step: Step, build: Build, ids: set[str]) -> Step:
    """The step with the findings of a build, holding those steps only that its card has there."""
    findings = tuple(finding for finding in step.findings if finding.on(build))
    held = tuple(name for name in step.hold_before if name in ids)
    if findings == step.findings and held == step.hold_before:
        return step
    return step.model_copy(update={"findings": findings, "hold_before": held})
