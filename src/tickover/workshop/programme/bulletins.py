"""Which bulletins hold for an engine, which were done, and when the rest fall due.

Where a bulletin is for the type but not for this engine, the reason is kept with it: AMC1 ML.A.305 (c) asks
for that of airworthiness directives; of other bulletins it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from tickover.language.amounts import day, hours
from tickover.science.planning.due import Due, Interval, LastDone, next_due
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.programme.due_line import URGENCY
from tickover.workshop.programme.models import Bulletin, BulletinDone
from tickover.workshop.programme.wording import span
from tickover.workshop.register.models import Engine

CLOSED = {BulletinDone.Outcome.NOT_APPLICABLE, BulletinDone.Outcome.DECLINED}
DayHours = tuple[date, float, float]


class Applies(StrEnum):
    YES = "applies"
    NO = "does not apply"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class BulletinLine:
    """One bulletin on one engine: whether it applies and why, what was recorded, when it is due."""

    bulletin: Bulletin
    engine: Engine
    applies: Applies
    because: str
    last: BulletinDone | None
    due: Due | None
    now_h: float
    today: date

    @property
    def open(self) -> bool:
        """Whether something is still to be done, or to be found out."""
        return self.due is not None

    @property
    def state(self) -> str:
        if self.due is None:
            return "closed"
        return str(self.due.state(self.now_h, self.today.toordinal()))

    @property
    def needs_a_hand(self) -> bool:
        return self.state in ("due soon", "due", "over tolerance")

    @property
    def sentence(self) -> str:
        return _closed_sentence(self) if self.due is None else _open_sentence(self, self.due)


def bulletins_in_force() -> list[Bulletin]:
    """Bulletins that hold: those that no later reading replaces and that were not cancelled."""
    rows = Bulletin.objects.filter(replaced_by=None, cancelled_because="")
    return list(rows.select_related("entered_by").order_by("-issued_on", "identifier"))


def cancelled() -> list[Bulletin]:
    rows = Bulletin.objects.filter(replaced_by=None).exclude(cancelled_because="")
    return list(rows.order_by("-issued_on", "identifier"))


def by_sequence(sequence: int) -> Bulletin | None:
    """The bulletin that this journal entry recorded."""
    rows = Bulletin.objects.select_related("entered_by", "replaces", "replaced_by")
    return rows.filter(entry_sequence=sequence).first()


def lines(engines: Iterable[Engine], today: date) -> list[BulletinLine]:
    """Every bulletin in force of each engine's type, those that need a hand first."""
    fleet, kept = list(engines), bulletins_in_force()
    if not kept:
        return []
    entries = engine_time.entries_by_engine(e.pk for e in fleet)
    last = _newest(fleet)
    found = [
        _line(b, e, last.get((b.identifier, e.pk)), entries[e.pk], today)
        for e in fleet
        for b in kept
        if b.sheet_id == e.sheet_id
    ]
    return sorted(found, key=_urgency)


def history(engine: Engine) -> list[BulletinDone]:
    return list(BulletinDone.objects.filter(engine=engine).select_related("by").order_by("-id"))


def applies_to(bulletin: Bulletin, engine: Engine) -> tuple[Applies, str]:
    """Whether a bulletin is for this engine by type, build and serial number, and why."""
    if bulletin.sheet_id != engine.sheet_id:
        return Applies.NO, "it is for another type"
    if bulletin.builds and engine.build_id not in bulletin.builds:
        return Applies.NO, "it is for another build"
    if bulletin.serial_from is None and bulletin.serial_to is None:
        return Applies.YES, "it is for every serial number of this build"
    if not (engine.serial.isascii() and engine.serial.isdecimal()):
        return (
            Applies.CANNOT_TELL,
            f"serial {engine.serial} is not a whole number, so it cannot be compared with the range",
        )
    serial = int(engine.serial)
    low, high = bulletin.serial_from or 0, bulletin.serial_to
    if serial >= low and (high is None or serial <= high):
        return Applies.YES, f"serial {engine.serial} is in its range"
    return Applies.NO, f"serial {engine.serial} is outside its range"


def _newest(fleet: Sequence[Engine]) -> dict[tuple[str, int], BulletinDone]:
    rows = BulletinDone.objects.filter(engine__in=fleet).select_related("by").order_by("id")
    return {(row.identifier, row.engine_id): row for row in rows}


def _line(
    bulletin: Bulletin, engine: Engine, last: BulletinDone | None, entries: Sequence[DayHours], today: date
) -> BulletinLine:
    if last is not None and last.outcome == BulletinDone.Outcome.OPEN:
        last = None
    applies, because = applies_to(bulletin, engine)
    due = None if applies is Applies.NO else _due(bulletin, engine, last, entries)
    now_h = sum(h for _, h, _ in entries)
    return BulletinLine(bulletin, engine, applies, because, last, due, now_h, today)


def _due(
    bulletin: Bulletin, engine: Engine, last: BulletinDone | None, entries: Sequence[DayHours]
) -> Due | None:
    """The limits of the next time; None where nothing is left to do."""
    if last is None:
        return _first_due(bulletin, engine, entries)
    once = bulletin.every_h is None and bulletin.every_months is None
    if last.outcome in CLOSED or once:
        return None
    interval = Interval(bulletin.every_h, bulletin.every_months, anchor="actual")
    return next_due(
        interval, LastDone(last.at_h, last.done_on.toordinal()), last.done_on.toordinal(), last.at_h
    )


def _first_due(bulletin: Bulletin, engine: Engine, entries: Sequence[DayHours]) -> Due:
    """Counted from the issue, or from when the engine came into the register, if that is later."""
    start = max(bulletin.issued_on, engine.in_service_on)
    start_h = sum(h for d, h, _ in entries if d <= start)
    due_h = None if bulletin.within_h is None else start_h + bulletin.within_h
    return Due(
        due_h=due_h,
        due_day=bulletin.due_on.toordinal() if bulletin.due_on else None,
        last_h=start_h,
        last_day=start.toordinal(),
        tolerance_h=0.0,
        tolerance_days=0,
        hours_from="" if due_h is None else f"{bulletin.within_h:g} h after {start_h:.1f} h = {due_h:.1f} h",
        days_from="" if bulletin.due_on is None else f"by {day(bulletin.due_on)}",
    )


def _urgency(line: BulletinLine) -> tuple[int, bool, date]:
    return URGENCY.get(line.state, len(URGENCY)), not line.bulletin.mandatory, line.bulletin.issued_on


def _closed_sentence(line: BulletinLine) -> str:
    if line.last is None:
        return f"does not apply: {line.because}"
    if line.last.outcome == BulletinDone.Outcome.DONE:
        return f"done on {day(line.last.done_on)} at {hours(line.last.at_h)} h: {line.last.words}"
    return f"{line.last.outcome}, recorded on {day(line.last.done_on)}: {line.last.words}"


def _open_sentence(line: BulletinLine, due: Due) -> str:
    if line.applies is Applies.CANNOT_TELL and line.last is None:
        return f"find out whether it applies: {line.because}; {_when(line, due)}"
    return _when(line, due)


def _when(line: BulletinLine, due: Due) -> str:
    limits = []
    if due.due_h is not None:
        left_h = due.due_h - line.now_h
        within = f"{hours(left_h)} h left" if left_h >= 0 else f"{hours(-left_h)} h past"
        limits.append(f"at {hours(due.due_h)} h ({within})")
    if due.due_day is not None:
        left = due.due_day - line.today.toordinal()
        within = f"{span(left)} left" if left >= 0 else f"{span(-left)} past"
        limits.append(f"by {day(date.fromordinal(due.due_day))} ({within})")
    if not limits:
        return "to do, no limit by hours or date"
    first = ", whichever comes first" if len(limits) == 2 else ""
    return f"due {' or '.join(limits)}{first}"
