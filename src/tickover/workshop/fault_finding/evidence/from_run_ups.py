"""The newest run-up of an engine, as findings: what it shows is seen, what it was measured for and does not show is
not there. What it was too short or too near a limit to tell is neither.

A run-up from before the session is offered; one that was made within it counts by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import datetime, timedelta

from django.utils import timezone

from tickover.formats.errors import FormatError
from tickover.language.amounts import day
from tickover.science.run_up import RunUpFinding, Severity
from tickover.science.run_up.signs import SIGNS, Sign, Signs, signs
from tickover.workshop.fault_finding.evidence.offer import RecordOffer, unanswered
from tickover.workshop.fault_finding.models import Answer
from tickover.workshop.fault_finding.session_state import SessionSheet, ended_at
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import queries as run_ups
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits import queries as visits

STILL_TELLS = timedelta(days=365)
"""What an engine showed longer ago is not offered."""

TOLD_BY: dict[str, str] = {
    "idle-hunts": "idle-races",
    "idle-high": "idle-slow-to-fall",
    "slow-to-fall-back": "idle-slow-to-fall",
    "idle-rises-after-burst": "idle-slow-to-fall",
    "hesitates-on-opening": "dies-on-opening",
    "static-rpm-low": "static-rpm-low",
    "static-rpm-high": "static-rpm-high",
    "sags-at-full": "sags-at-full",
    "four-strokes-full": "four-strokes-full",
    "cht-high": "cht-high",
    "egt-high": "egt-high",
}
"""Sign of a run-up to finding of a sheet; a sign that is no finding of any sheet has no row."""
OPPOSITE = {"static-rpm-high": "static-rpm-low", "static-rpm-low": "static-rpm-high"}
"""A speed that is too low is not too high."""
STOPS = (Severity.DANGER, Severity.OUTSIDE)
BAD = (*STOPS, Severity.UNLIKE_ITSELF)


def offers(sheet: SessionSheet, at: datetime) -> list[RecordOffer]:
    """What the newest run-up says here and nobody answered for yet."""
    run = _newest(sheet.session.engine, at)
    if run is None or not _tells_more(sheet, run):
        return []
    return unanswered(sheet, _offers(sheet, run))


def listen(engine: Engine, at: datetime) -> None:
    """Read the newest run-up before anything is held: a recording takes its time, and what was heard is kept."""
    if run := _newest(engine, at):
        with suppress(OSError, FormatError):
            run_ups.opened(run)


def _newest(engine: Engine, at: datetime) -> RunUp | None:
    """The newest run-up, while it tells something of the engine."""
    run = run_ups.newest(engine)
    return run if run and timezone.localdate(at) - run.on_day <= STILL_TELLS else None


def _tells_more(sheet: SessionSheet, run: RunUp) -> bool:
    """Whether anything of it can be open still: a recording is not listened to for nothing."""
    taken = {item for rests_on, item in sheet.rested_on if rests_on == _rests_on(run)}
    return not set(TOLD_BY.values()) <= taken


def _offers(sheet: SessionSheet, run: RunUp) -> Iterator[RecordOffer]:
    try:
        found = run_ups.opened(run).findings
    except (OSError, FormatError):  # it is told where the run-up itself is looked at
        return
    judged, within = signs(found), _within(sheet, run)
    when = f"run-up of {day(run.on_day)}{_since(sheet, run)}"
    dangers = {f.id for f in sheet.faults.findings if f.danger}
    for item in dict.fromkeys(TOLD_BY.values()):
        telling = [sign for sign in SIGNS if TOLD_BY.get(sign.id) == item]
        state, told_by = _state({sign.id for sign in telling}, judged), telling
        if item in dangers and state == Answer.State.SEEN and not _shown(telling, found, STOPS):
            continue  # warmer than usual and inside the limit is no reason to stop
        if not state and OPPOSITE.get(item) in judged.seen:
            state, told_by = Answer.State.ABSENT, [sign for sign in SIGNS if sign.id == OPPOSITE[item]]
        if state:
            words = f"{_verdict(told_by, found)} ({when})"
            yield RecordOffer(item, state, words, _rests_on(run), run.at, within)


def _state(signs_of_item: set[str], judged: Signs) -> str:
    """Seen if one sign of it is; not there only if it was measured for every one of them."""
    if signs_of_item & judged.seen:
        return Answer.State.SEEN
    return Answer.State.ABSENT if signs_of_item <= judged.absent else ""


def _verdict(telling: Iterable[Sign], found: tuple[RunUpFinding, ...]) -> str:
    """What was seen, in the words of the run-up; where nothing was, that it was as it should be."""
    signs_of_item = list(telling)
    measures = {id for sign in signs_of_item for id, _ in sign.shown_by}
    good = [f for f in found if f.id in measures and f.weight is Severity.GOOD]
    worst = min((*_shown(signs_of_item, found, BAD), *good), key=lambda f: f.weight, default=None)
    return worst.seen.rstrip(".") if worst else ""


def _shown(
    telling: Iterable[Sign], found: tuple[RunUpFinding, ...], weights: tuple[Severity, ...]
) -> list[RunUpFinding]:
    """Verdicts of these weights that show one of the signs."""
    shown_by = {pair for sign in telling for pair in sign.shown_by}
    return [f for f in found if (f.id, f.side) in shown_by and f.weight in weights]


def _since(sheet: SessionSheet, run: RunUp) -> str:
    """Work after it, which may have changed what it shows."""
    ends = ((ended_at(job), job) for job in visits.jobs_of(sheet.session.engine))
    after = [job.number for end, job in ends if end and timezone.localdate(end) > run.on_day]
    return f", before visit {after[-1]}" if after else ""


def _within(sheet: SessionSheet, run: RunUp) -> bool:
    begun = sheet.session.started_at
    return run.at >= begun and run.on_day >= timezone.localdate(begun)


def _rests_on(run: RunUp) -> str:
    return f"run-up/{run.entry_sequence}"
