"""Reads of deferred defects: which stand, how near their limits they are, and what a release says of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from tickover.language.amounts import day, hours
from tickover.workshop.defects.models import (
    DefectRectified,
    DeferralExtended,
    DeferralWithdrawn,
    DeferredDefect,
)
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people import queries as people
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job, Release

NEAR_H = 5.0
NEAR_DAYS = 14


@dataclass(frozen=True)
class Waiting:
    """A deferred defect with the limits it was given after the first, oldest first; the newest counts."""

    defect: DeferredDefect
    extensions: tuple[DeferralExtended, ...] = ()

    @property
    def until(self) -> DeferredDefect | DeferralExtended:
        """What its limit stands on."""
        return self.extensions[-1] if self.extensions else self.defect

    @property
    def limit(self) -> str:
        """Until when, in words: "112.0 h or 3 May 2026, whichever comes first"."""
        return limit_in_words(self.until)

    @property
    def first_limit(self) -> str:
        return limit_in_words(self.defect)


@dataclass(frozen=True)
class DefectLine(Waiting):
    """A deferred defect as it stands on a day, at an engine time. [h]"""

    now_h: float = 0.0
    today: date = date.min
    in_job: Job | None = None
    rectified: DefectRectified | None = None
    withdrawn: DeferralWithdrawn | None = None

    @property
    def waits(self) -> bool:
        """Whether it stands still, put right in no released job and not withdrawn."""
        return self.rectified is None and self.withdrawn is None

    @property
    def state(self) -> str:
        """ "rectified", "withdrawn", "over its limit", "near its limit" or "deferred"."""
        if not self.waits:
            return "rectified" if self.rectified else "withdrawn"
        left_h, left_days = self.left
        if left_h < 0.0 or left_days < 0:
            return "over its limit"
        return "near its limit" if left_h <= NEAR_H or left_days <= NEAR_DAYS else "deferred"

    @property
    def wants_a_hand(self) -> bool:
        return self.state in ("over its limit", "near its limit")

    @property
    def left(self) -> tuple[float, float]:
        """Hours and days left; infinite where it has no such limit."""
        d, inf = self.until, float("inf")
        left_days = inf if d.until_on is None else (d.until_on - self.today).days
        return inf if d.until_h is None else d.until_h - self.now_h, left_days

    @property
    def sentence(self) -> str:
        """What is left, for a list."""
        left_h, left_days = self.left
        parts = [_left(left_h, f"{abs(left_h):.1f} h")] if self.until.until_h is not None else []
        if self.until.until_on is not None:
            parts.append(_left(left_days, f"{abs(left_days):.0f} days"))
        return ", ".join(parts)


def limit_in_words(until: DeferredDefect | DeferralExtended) -> str:
    by_h = f"{hours(until.until_h)} h" if until.until_h is not None else ""
    by_day = day(until.until_on) if until.until_on else ""
    return f"{by_h} or {by_day}, whichever comes first" if by_h and by_day else by_h or by_day


def defect_by_number(number: str) -> DeferredDefect | None:
    return _defects().filter(number=number).first()


def line_of(defect: DeferredDefect, today: date) -> DefectLine:
    return _lines([defect], today)[0]


def open_defects(today: date, engine: Engine | None = None) -> list[DefectLine]:
    """Defects that wait still, the nearest to its limit first; of one engine, or of all."""
    rows = _defects().filter(~Exists(_released_before()), withdrawn=None)
    found = _lines(rows if engine is None else rows.filter(engine=engine), today)
    return sorted(found, key=lambda line: (not line.wants_a_hand, line.left[1], line.left[0]))


def wanting(today: date) -> list[DefectLine]:
    """Defects near or over their limit, on any engine."""
    return [line for line in open_defects(today) if line.wants_a_hand]


def history(engine: Engine | None = None, limit: int = 100) -> list[Waiting]:
    """Defects that were put right or withdrawn, newest first."""
    rows = _defects().filter(Exists(_released_before()) | Q(withdrawn__isnull=False))
    rows = rows if engine is None else rows.filter(engine=engine)
    return _waiting(list(rows.select_related("withdrawn").order_by("-id")[:limit]))


def deferred_at(release: Release) -> list[Waiting]:
    """What a release says under “deferred”: what stood when it was signed, whatever came later."""
    signed = release.entry_sequence
    rows = _defects().filter(engine=release.job.engine, entry_sequence__lt=signed)
    rows = rows.filter(~Exists(_released_before(signed))).exclude(withdrawn__entry_sequence__lt=signed)
    return _waiting(list(rows.order_by("id")), before=signed)


def deferred_of(release: Release) -> tuple[str, ...]:
    """The same as sentences for the paper, with the names of that day."""
    named = people.named_at(release.entry_sequence)
    return tuple(
        f"{w.defect.number}: {w.defect.what}; until {w.limit}{_extended(w)}. "
        f"May wait because: {w.defect.why_it_may_wait} Accepted by {named[w.until.accepted_by_id]}."
        for w in deferred_at(release)
    )


def findings_deferred(jobs: Iterable[int]) -> set[tuple[int, str, str]]:
    """(job, step, finding) for which a defect was deferred: those stand against no release."""
    rows = DeferredDefect.objects.filter(job__in=list(jobs), withdrawn=None).exclude(finding_id="")
    return set(rows.values_list("job_id", "step_id", "finding_id"))


def over_limit(job: Job, today: date) -> list[str]:
    """What stands against releasing a job's engine: defects over their limit that the job does not put right."""
    own = {r.defect_id for r in rectified_in(job)}
    return [
        f"Deferred defect {line.defect.number}, {line.defect.what}: over its limit, {line.limit}."
        for line in open_defects(today, job.engine)
        if line.state == "over its limit" and line.defect.pk not in own
    ]


def rectified_in(job: Job) -> list[DefectRectified]:
    """What a job puts right."""
    return list(DefectRectified.objects.filter(job=job).select_related("defect", "by").order_by("id"))


def _released_before(sequence: int | None = None) -> QuerySet[DefectRectified]:
    """Rectifications whose job is released, by its place in the journal at the latest."""
    released = Q(job__release__isnull=False)
    if sequence is not None:
        released &= Q(job__release__entry_sequence__lte=sequence)
    return DefectRectified.objects.filter(released, defect=OuterRef("pk"))


def _lines(defects: Iterable[DeferredDefect], today: date) -> list[DefectLine]:
    found = list(defects)
    entries = engine_time.entries_by_engine({d.engine_id for d in found})
    now_h = {d.engine_id: sum(h for _, h, _ in entries[d.engine_id]) for d in found}
    rows = DefectRectified.objects.filter(defect__in=[d.pk for d in found], job__closure=None)
    newest = {r.defect_id: r for r in rows.select_related("job__release", "by").order_by("id")}
    extended = _extensions(found)
    taken_back = DeferralWithdrawn.objects.filter(defect__in=[d.pk for d in found])
    withdrawn = {w.defect_id: w for w in taken_back.select_related("by", "accepted_by")}
    return [
        DefectLine(
            d,
            extended[d.pk],
            now_h[d.engine_id],
            today,
            *_put_right(newest.get(d.pk)),
            withdrawn.get(d.pk),
        )
        for d in found
    ]


def _waiting(defects: list[DeferredDefect], before: int | None = None) -> list[Waiting]:
    extended = _extensions(defects, before)
    return [Waiting(d, extended[d.pk]) for d in defects]


def _put_right(newest: DefectRectified | None) -> tuple[Job | None, DefectRectified | None]:
    """The open job that puts a defect right, or how a released one did."""
    if newest is None or hasattr(newest.job, "release"):
        return None, newest
    return newest.job, None


def _extensions(
    defects: Iterable[DeferredDefect], before: int | None = None
) -> dict[int, tuple[DeferralExtended, ...]]:
    """The later limits of each defect, by its key; those before a place in the journal."""
    found: dict[int, tuple[DeferralExtended, ...]] = {d.pk: () for d in defects}
    rows = DeferralExtended.objects.filter(defect__in=list(found)).select_related("by", "accepted_by")
    for row in (rows if before is None else rows.filter(entry_sequence__lt=before)).order_by("id"):
        found[row.defect_id] += (row,)
    return found


def _extended(waiting: Waiting) -> str:
    """That its limit was moved, so that no paper hides how often."""
    if not waiting.extensions:
        return ""
    times = len(waiting.extensions)
    often = "once" if times == 1 else f"{times} times"
    return f" (given another limit {often}; at first {waiting.first_limit})"


def _left(left: float, amount: str) -> str:
    return f"{amount} left" if left >= 0 else f"{amount} over"


def _defects() -> QuerySet[DeferredDefect]:
    return DeferredDefect.objects.select_related("engine", "engine__owner", "job", "by", "accepted_by")
