"""What causes what, as a sheet says it: causes with their fixes, findings in the owner's words, and tests.

`FaultTable.network` turns the grades into the numbers that `science.faults` computes with.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from tickover.science.faults import NOT_LISTED, Network
from tickover.science.faults.grades import Grades, network
from tickover.science.faults.next import Check, Choices
from tickover.science.planning.access import Opening
from tickover.sheets.schema.rows import Authority, Build, BuildRow, Flag, Id, Number, Positive, Row, Text

Chance = Annotated[Number, Field(ge=0, le=1)]
Background = Annotated[Number, Field(ge=0, lt=1)]
Grade = Literal["almost_always", "often", "sometimes", "rarely"]
FalseFinding = Literal["background", "low", "medium", "high"]
GRADES: tuple[Grade, ...] = ("almost_always", "often", "sometimes", "rarely")
NOT_LISTED_TITLE = "Something not on this list"


class GradeScale(Row):
    """Chance of a finding when the cause that has this grade for it is present alone. [-]"""

    almost_always: Chance = 0.9
    often: Chance = 0.6
    sometimes: Chance = 0.3
    rarely: Chance = 0.1


class FalseScale(Row):
    """Chance that a finding shows, or a test tells, with nothing behind it. [-]"""

    background: Background = 0.02
    low: Background = 0.03
    medium: Background = 0.10
    high: Background = 0.20


class Cause(BuildRow):
    """A cause and how it is put right. `weight`: how common among engines in trouble, any scale.

    `minutes` of the fix [min]; `task` of the programme that does it; causes of one name in `twins` are shown
    together. Each grade lists findings and tests; what is in no list shows as on any engine.
    """

    id: Id
    system: Text
    title: Text
    weight: Positive
    fix: Text
    minutes: Positive
    parts: tuple[Text, ...] = ()
    task: Id | None = None
    twins: Id | None = None
    almost_always: tuple[Id, ...] = ()
    often: tuple[Id, ...] = ()
    sometimes: tuple[Id, ...] = ()
    rarely: tuple[Id, ...] = ()

    def shows(self, grade: Grade) -> tuple[str, ...]:
        """Findings and tests of that grade."""
        names: tuple[str, ...] = getattr(self, grade)
        return names


class Shown(BuildRow):
    """Something that can be seen or be absent. `minutes` to look, without what has to be opened [min].

    `running`: it shows only while the engine runs, or is being started.
    """

    id: Id
    title: Text
    minutes: Positive
    access: tuple[Id, ...] = ()
    running: Flag = False
    false_findings: FalseFinding = "background"


class FaultFinding(Shown):
    """Something the owner says or the technician sees. `words`: how people say it; `danger`: why to stop."""

    phase: Text
    words: tuple[Text, ...] = ()
    minutes: Positive = 1.0
    danger: str = ""


class FaultTest(Shown):
    """A test that tells or does not. `after`: tests whose evidence it takes away, so that they come first."""

    counts_as_seen: Text
    tools: tuple[Text, ...] = ()
    caution: str = ""
    destroys_evidence: Flag = False
    after: tuple[Id, ...] = ()


class FaultTable(Row):
    """All causes, findings and tests of a type. `mean_causes`: present at a time on an engine in trouble. [-]

    `not_listed`: share of engines in trouble whose cause is on no list [-]; `not_listed_minutes` to find and
    fix such a one [min].
    """

    mean_causes: Annotated[Number, Field(gt=1, lt=2)] = 1.15
    not_listed: Annotated[Number, Field(ge=0, lt=1)] = 0.05
    not_listed_minutes: Positive = 240.0
    grades: GradeScale = GradeScale()
    false_findings: FalseScale = FalseScale()
    findings: Annotated[tuple[FaultFinding, ...], Field(min_length=1)]
    tests: tuple[FaultTest, ...] = ()
    causes: Annotated[tuple[Cause, ...], Field(min_length=2)]
    authority: Authority
    source: str = ""

    @property
    def shown(self) -> tuple[Shown, ...]:
        """Findings and tests, in the order of the network's columns."""
        return (*self.findings, *self.tests)

    def titles(self) -> dict[str, str]:
        """Title of every cause, group of twins, finding and test by its id."""
        named: dict[str, str] = {row.id: row.title for row in self.shown}
        named |= {cause.id: cause.title for cause in self.causes}
        twins: dict[str, list[str]] = {}
        for cause in self.causes:
            if cause.twins:
                twins.setdefault(cause.twins, []).append(cause.title)
        return {NOT_LISTED: NOT_LISTED_TITLE} | named | {name: " or ".join(t) for name, t in twins.items()}

    def for_build(self, build: Build) -> FaultTable:
        """Rows of one build, without what nothing on it causes."""
        causes = tuple(cause for cause in self.causes if cause.on(build))
        caused = {name for cause in causes for grade in GRADES for name in cause.shows(grade)}
        findings = tuple(row for row in self.findings if row.on(build) and row.id in caused)
        tests = tuple(row for row in self.tests if row.on(build) and row.id in caused)
        left = {row.id for row in findings} | {row.id for row in tests}
        tests = tuple(
            row.model_copy(update={"after": tuple(n for n in row.after if n in left)}) for row in tests
        )
        return self.model_copy(
            update={"causes": tuple(_showing(c, left) for c in causes), "findings": findings, "tests": tests}
        )

    def network(self) -> Network:
        """The network of this table; a table that is asked again gets the same one."""
        return _network(self)

    def choices(self, access: Sequence[Opening]) -> Choices:
        """What can be looked at next, and the minutes of each repair in the network's order. [min]"""
        questions = [
            Check(f.id, f.minutes, f.access, running=f.running, danger=f.danger) for f in self.findings
        ]
        tests = [
            Check(
                t.id,
                t.minutes,
                t.access,
                running=t.running,
                destroys_evidence=t.destroys_evidence,
                after=t.after,
            )
            for t in self.tests
        ]
        minutes = [cause.minutes for cause in self.causes]
        minutes += [self.not_listed_minutes] if self.not_listed > 0 else []
        return Choices([*questions, *tests], np.array(minutes), access)


@lru_cache(maxsize=8)
def _network(table: FaultTable) -> Network:
    leak = np.array([getattr(table.false_findings, row.false_findings) for row in table.shown])
    columns = {row.id: n for n, row in enumerate(table.shown)}
    alone = np.tile(leak, (len(table.causes), 1))
    for row, cause in enumerate(table.causes):
        for grade in GRADES:
            at = [columns[name] for name in cause.shows(grade)]
            alone[row, at] = np.maximum(leak[at], getattr(table.grades, grade))
    grades = Grades(
        causes=tuple(cause.id for cause in table.causes),
        findings=tuple(columns),
        weights=np.array([cause.weight for cause in table.causes]),
        alone=alone,
        leak=leak,
        twins=tuple(cause.twins or cause.id for cause in table.causes),
    )
    return network(grades, mean_causes=table.mean_causes, not_listed=table.not_listed)


def _showing(cause: Cause, left: set[str]) -> Cause:
    kept: dict[str, tuple[str, ...]] = {
        grade: tuple(name for name in cause.shows(grade) if name in left) for grade in GRADES
    }
    return cause.model_copy(update=kept)
