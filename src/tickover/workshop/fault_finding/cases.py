"""What it was: how often each cause was confirmed in this workshop, beside what the type sheet supposes.

Nothing is changed by it: whoever edits a type sheet may go by it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from tickover.science.core.working import Working
from tickover.science.faults import NOT_LISTED
from tickover.science.faults.learning import CauseFrequency, cause_frequencies
from tickover.sheets import FaultTable
from tickover.sheets.schema.faults import NOT_LISTED_TITLE
from tickover.workshop.fault_finding import queries
from tickover.workshop.fault_finding.models import Outcome
from tickover.workshop.register import queries as register

WORTH = 50.0
"""How many cases a table from memory is worth: common practice, no source."""


@dataclass(frozen=True)
class CauseLine:
    """A cause with its counts. `cured`, `awaited`, `stayed`: ends after which the fault was gone, nobody said so yet,
    or it stayed; `weight`: what the sheet's weight would be by the share.
    """

    title: str
    id: str
    share: CauseFrequency
    cured: int
    awaited: int
    stayed: int
    weight: float

    @property
    def table_fits(self) -> bool:
        """Whether what the table says lies where the cases put it."""
        return self.share.low <= self.share.listed <= self.share.high

    @property
    def working(self) -> Working:
        return self.share.working(self.title)


@dataclass(frozen=True)
class TypeCases:
    """The cases of one type, the most often confirmed cause first."""

    title: str
    sheet_id: str
    authority: str
    lines: tuple[CauseLine, ...]
    not_found: int

    @property
    def cases(self) -> int:
        return sum(line.cured for line in self.lines)

    @property
    def named(self) -> tuple[CauseLine, ...]:
        """Causes that an end names at all."""
        return tuple(line for line in self.lines if line.cured or line.awaited or line.stayed)


def types() -> list[TypeCases]:
    """Every type with a table of faults on which a session ended."""
    by_sheet: dict[str, list[Outcome]] = {}
    for end in queries.ends():
        by_sheet.setdefault(end.session.sheet.sheet_id, []).append(end)
    return [found for sheet_id, ends in sorted(by_sheet.items()) if (found := _of_type(sheet_id, ends))]


def _of_type(sheet_id: str, ends: list[Outcome]) -> TypeCases | None:
    sheet = register.sheet_of(register.newest_sheet_version(sheet_id))
    if sheet.faults is None:
        return None
    not_found = sum(end.kind == Outcome.Kind.NOT_FOUND for end in ends)
    return TypeCases(sheet.title, sheet_id, sheet.faults.authority, _lines(sheet.faults, ends), not_found)


def _lines(table: FaultTable, ends: Iterable[Outcome]) -> tuple[CauseLine, ...]:
    cured, awaited, stayed = Counter[str](), Counter[str](), Counter[str]()
    ids = {cause.id for cause in table.causes}
    for end in ends:
        name = _cause_of(end, ids)
        if name:
            said = end.cures.all()  # newest last
            into = awaited if not said and end.kind == Outcome.Kind.CAUSE else cured
            (stayed if said and not said[len(said) - 1].cured else into)[name] += 1
    weights = {cause.id: cause.weight for cause in table.causes}
    whole = sum(weights.values())
    if table.not_listed > 0:
        weights[NOT_LISTED] = whole * table.not_listed / (1 - table.not_listed)
    titles = {cause.id: cause.title for cause in table.causes} | {NOT_LISTED: NOT_LISTED_TITLE}
    counts = {name: cured[name] for name in weights}
    lines = [
        CauseLine(
            titles[name], name, share, cured[name], awaited[name], stayed[name], _weight(share, weights[name])
        )
        for name, share in cause_frequencies(weights, counts, worth=WORTH).items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.cured, -line.awaited, -line.share.share)))


def _cause_of(end: Outcome, ids: set[str]) -> str:
    """Something else is what the list does not have; so is a cause that the newest sheet has no more."""
    if end.kind == Outcome.Kind.OTHER:
        return NOT_LISTED
    if end.kind != Outcome.Kind.CAUSE:
        return ""
    return end.cause_id if end.cause_id in ids else NOT_LISTED


def _weight(share: CauseFrequency, weight: float) -> float:
    """The sheet's weight, moved as the share was."""
    return weight * share.share / share.listed
