"""What a session's evidence makes likely, and what to do next: `science.faults` asked for one session.

The same evidence gives the same answer, so that the newest answers are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from tickover.science.faults import NOT_LISTED, Evidence
from tickover.science.faults.conflict import Conflict, conflict
from tickover.science.faults.explain import Effect, Sensitivity, effects_on, leader_after, sensitivities
from tickover.science.faults.next import LIKELY_DANGER, PHOTO_MIN, CheckAdvice, SessionContext, advise
from tickover.science.faults.posterior import ContradictionError, Posterior, Suspect, posterior
from tickover.science.planning.access import opened_for
from tickover.sheets import AccessGroup, Cause, FaultFinding, FaultTable, FaultTest
from tickover.workshop.fault_finding.session_state import SessionSheet

SUSPECTS = 6
EXPLAINED = 3
TURNS = 3
LEAST_SHARE = 0.01


@dataclass(frozen=True)
class SuspectLine:
    """A suspect with its title, its causes of this build, and what speaks for and against it."""

    suspect: Suspect
    title: str
    causes: tuple[Cause, ...]
    effects: tuple[Effect, ...] = ()

    @property
    def listed(self) -> bool:
        return self.suspect.name != NOT_LISTED


@dataclass(frozen=True)
class CheckLine:
    """A look as the page puts it: how long with its openings, what it needs first, what it would tell."""

    now: Posterior
    row: FaultFinding | FaultTest
    minutes: float
    chance: float
    opens: tuple[AccessGroup, ...]
    photo_first: bool
    before: tuple[FaultFinding, ...]

    def leader(self, *, seen: bool) -> Suspect:
        """Who would lead after that answer, and with what chance. [-]"""
        return _leader(self.now, self.row.id, seen=seen)

    @property
    def danger(self) -> str:
        return self.row.danger if isinstance(self.row, FaultFinding) else ""

    @property
    def pressing(self) -> bool:
        return bool(self.danger) and self.chance >= LIKELY_DANGER

    @property
    def test(self) -> FaultTest | None:
        return self.row if isinstance(self.row, FaultTest) else None


@dataclass(frozen=True)
class Diagnosis:
    """The evidence weighed. `pair`: what excludes each other when nothing at all explains the evidence."""

    table: FaultTable
    access: tuple[AccessGroup, ...]
    bench: SessionContext
    now: Posterior | None
    advice: CheckAdvice | None
    suspects: tuple[SuspectLine, ...]
    clash: Conflict | None
    turns: tuple[Sensitivity, ...]
    pair: tuple[str, ...] = ()

    @property
    def stops(self) -> list[tuple[str, str]]:
        """Dangers that were seen, with what to do."""
        return list(self.advice.stops.items()) if self.advice else []

    @property
    def looks(self) -> list[str]:
        """Looks in the order to do them; none with the engine running while a danger stands."""
        if self.advice is None:
            return []
        return [one.look.id for one in self.advice.looks if not (self.stops and one.look.running)]

    def first_repair(self) -> Cause | None:
        """What is put right first where looking on does not pay; None where that is on no list."""
        if self.now is None or self.advice is None:
            return None
        name = self.now.network.causes[self.advice.repairs.order[0]]
        return next((cause for cause in self.table.causes if cause.id == name), None)


def diagnose(sheet: SessionSheet) -> Diagnosis:
    """The session's evidence weighed, by the version of the sheet that it was started with."""
    return _reasoned(sheet.faults, sheet.sheet.access, sheet.evidence, sheet.bench, sheet.factors)


def check_line(reasoned: Diagnosis, item: str) -> CheckLine | None:
    """One look, proposed or not; None where nothing explains the evidence."""
    now, table = reasoned.now, reasoned.table
    row = next(row for row in table.shown if row.id == item)
    if now is None or not isinstance(row, FaultFinding | FaultTest):
        return None
    test = row if isinstance(row, FaultTest) else None
    opens = tuple(o for o in opened_for(row.access, reasoned.access) if o.id not in reasoned.bench.open_now)
    photo = test is not None and test.destroys_evidence and item not in reasoned.bench.photographed
    return CheckLine(
        now=now,
        row=row,
        minutes=row.minutes + sum(o.minutes for o in opens) + PHOTO_MIN * photo,
        chance=float(now.chances[now.network.finding(item)]),
        opens=tuple(group for group in reasoned.access if group.id in {o.id for o in opens}),
        photo_first=photo,
        before=_dangers_open(reasoned) if test is not None and test.running else (),
    )


def _dangers_open(reasoned: Diagnosis) -> tuple[FaultFinding, ...]:
    """Dangers to see at rest with nothing opened, not looked for yet; one that was skipped is among them."""
    assert reasoned.now is not None
    known = reasoned.now.evidence.seen | reasoned.now.evidence.absent
    at_rest = (f for f in reasoned.table.findings if f.danger and not f.running and not f.access)
    return tuple(f for f in at_rest if f.id not in known)


def _leader(now: Posterior, item: str, *, seen: bool) -> Suspect:
    name, share = leader_after(now, item, seen=seen)
    return next(replace(s, share=share) for s in now.suspects() if s.name == name)


@lru_cache(maxsize=64)
def _reasoned(
    table: FaultTable,
    access: tuple[AccessGroup, ...],
    evidence: Evidence,
    bench: SessionContext,
    factors: tuple[tuple[str, float], ...],
) -> Diagnosis:
    network = table.network().with_odds(dict(factors))
    try:
        now = posterior(network, evidence)
    except ContradictionError as error:
        return Diagnosis(table, access, bench, None, None, (), None, (), error.pair)
    opened = [name for name in network.findings if name not in bench.not_possible]
    return Diagnosis(
        table=table,
        access=access,
        bench=bench,
        now=now,
        advice=advise(now, table.choices(access), bench),
        suspects=_suspect_lines(now, table),
        clash=conflict(now),
        turns=sensitivities(now, opened)[:TURNS],
    )


def _suspect_lines(now: Posterior, table: FaultTable) -> tuple[SuspectLine, ...]:
    titles, found = table.titles(), now.suspects()
    first = [s for n, s in enumerate(found) if s.share >= LEAST_SHARE or n == 0][:SUSPECTS]
    effects = effects_on(now, [suspect.name for suspect in first[:EXPLAINED]])
    return tuple(
        SuspectLine(
            suspect,
            titles[suspect.name],
            tuple(c for c in table.causes if c.id in suspect.causes),
            effects.get(suspect.name, ()),
        )
        for suspect in first
    )
