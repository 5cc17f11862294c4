"""Moving the edges of a log's runs by hand, where a person knows better than the channel."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from tickover.science.engine_time.reconciling import METER
from tickover.workshop.engine_time import at_a_time, reconciling
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.locking import lock_engine
from tickover.workshop.register.models import MOVED, WITHDRAWN, EngineTimeEntry

Edges = tuple[datetime, datetime]

# How well a person tells by eye when a run began: common practice, no source.
EDGE_SD_S = 5.0
KNOWN_APART = timedelta(seconds=1)


@journal.locked()
def move_edges(
    entry: EngineTimeEntry, runs: Sequence[Edges], reason: str, *, who: Person, at: datetime
) -> EngineTimeEntry:
    """Let a log count other runs than it was found to have. The first entry stays visible, replaced.

    Parameters
    ----------
    entry : EngineTimeEntry
        An entry of a log that counts.
    runs : sequence of (start, end)
        All runs that shall count, in any order; none where the engine did not run.
    reason : str
        What the person knows that the log does not tell.

    Returns
    -------
    EngineTimeEntry
        The entry that counts now; what better records cover of the moved runs is left to them.
    """
    lock_engine(entry.engine_id)
    _refuse_an_entry_without_runs(entry)
    whole = at_a_time.original(entry)
    known = [t for run in runs_of(whole) for t in run]
    moved = sorted((_kept(start, known), _kept(end, known)) for start, end in runs)
    _refuse_runs_that_cannot_be(moved, whole)
    edges = len({t for run in moved for t in run}.symmetric_difference(known))
    if not edges:
        raise RegisterError("Nothing differs from what is recorded. Nothing was changed.")
    if not reason.strip():
        raise RegisterError("Type how you know when the engine ran. Nothing was changed.")
    count = reconciling.Count(
        duration_h=sum((end - start).total_seconds() for start, end in moved) / 3600.0,
        sd_h=math.hypot(whole.sd_h, math.sqrt(edges) * EDGE_SD_S / 3600.0),
        starts=len(moved),
        runs=[[t.astimezone(UTC).isoformat() for t in run] for run in moved],
        started_at=whole.started_at,
    )
    remarks = [reason.strip(), f"The log by itself: {_in_words(runs_of(whole))}.", *whole.remarks]
    row = reconciling.replacement(entry, count, MOVED, remarks, who)
    more = {"replaces_entry": entry.entry_sequence, "reason": reason.strip()}
    subject = f"engine/{entry.engine.serial}"
    journal.record(row, "runs moved by hand", subject, actor=who.username, at=at, **more)
    reconciling.settle(entry.engine, reconciling.span_of(row), who=who, at=at)
    return at_a_time.newest(row)


def runs_of(entry: EngineTimeEntry) -> list[Edges]:
    """An entry's runs as moments."""
    return [(datetime.fromisoformat(a), datetime.fromisoformat(b)) for a, b in entry.runs]


def may_be_moved(entry: EngineTimeEntry) -> bool:
    """Whether this entry is a log's, and counts."""
    clocked = entry.started_at is not None and entry.grade != METER and entry.method != WITHDRAWN
    return clocked and not hasattr(entry, "replaced_by")


def _refuse_an_entry_without_runs(entry: EngineTimeEntry) -> None:
    if EngineTimeEntry.objects.filter(replaces=entry).exists():
        raise RegisterError("This entry was replaced already. Nothing was changed.")
    if not may_be_moved(entry):
        raise RegisterError("Only a log has runs whose edges can be moved. Nothing was changed.")


def _refuse_runs_that_cannot_be(runs: Sequence[Edges], whole: EngineTimeEntry) -> None:
    first, last = reconciling.span_of(whole)
    for start, end in runs:
        if end <= start:
            raise RegisterError(f"A run cannot end at {end:%H:%M:%S}, before it starts. Nothing was changed.")
        if start < first - KNOWN_APART or end > last + KNOWN_APART:
            raise RegisterError(
                f"{_in_words([(start, end)])} lies outside the log, which runs from {_in_words([(first, last)])}. "
                "Enter other hours by themselves. Nothing was changed."
            )
    for (_, end), (start, _) in pairwise(runs):
        if start < end:
            raise RegisterError(f"Two runs overlap at {start:%H:%M:%S}. Nothing was changed.")


def _kept(moment: datetime, known: Sequence[datetime]) -> datetime:
    """The edge that was there, where a clock without fractions of a second tells no other."""
    return next((k for k in known if abs(moment - k) < KNOWN_APART), moment)


def _in_words(runs: Sequence[Edges]) -> str:
    return (
        ", ".join(f"{a.astimezone(UTC):%H:%M:%S} to {b.astimezone(UTC):%H:%M:%S}" for a, b in runs)
        or "no run"
    )
