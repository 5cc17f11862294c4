"""Reads of deferred defects: which stand, how near their limits they are, and what a release says of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from tickover.workshop.bench.models import Job, Release
from tickover.workshop.defects.models import DefectRectified, DeferredDefect
from tickover.workshop.people.templatetags.amounts import day, hours
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

NEAR_H = 5.0
NEAR_DAYS = 14


@dataclass(frozen=True)
class DefectLine:
    """A deferred defect as it stands on a day, at an engine time. [h]"""

    defect: DeferredDefect
    now_h: float
    today: date
    in_job: Job | None = None
    rectified: DefectRectified | None = None

    @property
    def limit(self) -> str:
        """Until when, in words: "112.0 h or 3 May 2026, whichever comes first"."""
        return limit_in_words(self.defect)

    @property
    def state(self) -> str:
        """ "rectified", "over its limit", "near its limit" or "deferred"."""
        if self.rectified:
            return "rectified"
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
        d, inf = self.defect, float("inf")
        left_days = inf if d.until_on is None else (d.until_on - self.today).days
        return inf if d.until_h is None else d.until_h - self.now_h, left_days

    @property
    def sentence(self) -> str:
        """What is left, for a list."""
        left_h, left_days = self.left
        parts = [_left(left_h, f"{abs(left_h):.1f} h")] if self.defect.until_h is not None else []
        if self.defect.until_on is not None:
            parts.append(_left(left_days, f"{abs(left_days):.0f} days"))
        return ", ".join(parts)


def limit_in_words(defect: DeferredDefect) -> str:
    by_h = f"{hours(defect.until_h)} h" if defect.until_h is not None else ""
    by_day = day(defect.until_on) if defect.until_on else ""
    return f"{by_h} or {by_day}, whichever comes first" if by_h and by_day else by_h or by_day


def defect_by_number(number: str) -> DeferredDefect | None:
    return _defects().filter(number=number).first()


def line_of(defect: DeferredDefect, today: date) -> DefectLine:
    return _lines([defect], today)[0]


def standing(today: date, engine: Engine | None = None) -> list[DefectLine]:
    """Defects that wait still, the nearest to its limit first; of one engine, or of all."""
    rows = _defects().filter(~Exists(_released_before()))
    found = _lines(rows if engine is None else rows.filter(engine=engine), today)
    return sorted(found, key=lambda line: (not line.wants_a_hand, line.left[1], line.left[0]))


def wanting(today: date) -> list[DefectLine]:
    """Defects near or over their limit, on any engine."""
    return [line for line in standing(today) if line.wants_a_hand]


def history(engine: Engine | None = None, limit: int = 100) -> list[DeferredDefect]:
    """Defects that were put right, newest first."""
    rows = _defects().filter(Exists(_released_before()))
    return list((rows if engine is None else rows.filter(engine=engine)).order_by("-id")[:limit])


def deferred_at(release: Release) -> list[DeferredDefect]:
    """What a release says under “deferred”: what stood when it was signed, whatever came later."""
    rows = _defects().filter(engine=release.job.engine, entry_sequence__lt=release.entry_sequence)
    return list(rows.filter(~Exists(_released_before(release.entry_sequence))).order_by("id"))


def deferred_of(release: Release) -> tuple[str, ...]:
    """The same as sentences for the paper."""
    return tuple(
        f"{d.number}: {d.what}; until {limit_in_words(d)}. May wait because: {d.why_it_may_wait} "
        f"Accepted by {d.accepted_by}."
        for d in deferred_at(release)
    )


def findings_deferred(jobs: Iterable[int]) -> set[tuple[int, str, str]]:
    """(job, step, finding) for which a defect was deferred: those stand against no release."""
    rows = DeferredDefect.objects.filter(job__in=list(jobs)).exclude(finding_id="")
    return set(rows.values_list("job_id", "step_id", "finding_id"))


def over_limit(job: Job, today: date) -> list[str]:
    """What stands against releasing a job's engine: defects over their limit that the job does not put right."""
    own = {r.defect_id for r in rectified_in(job)}
    return [
        f"Deferred defect {line.defect.number}, {line.defect.what}: over its limit, {line.limit}."
        for line in standing(today, job.engine)
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
    now_h = {e.pk: register.total_time(e).hours_h for e in {d.engine_id: d.engine for d in found}.values()}
    rows = DefectRectified.objects.filter(defect__in=[d.pk for d in found], job__closure=None)
    newest = {r.defect_id: r for r in rows.select_related("job__release", "by").order_by("id")}
    return [_line(d, now_h[d.engine_id], today, newest.get(d.pk)) for d in found]


def _line(defect: DeferredDefect, now_h: float, today: date, newest: DefectRectified | None) -> DefectLine:
    ended = newest if newest and hasattr(newest.job, "release") else None
    return DefectLine(defect, now_h, today, newest.job if newest and not ended else None, ended)


def _left(left: float, amount: str) -> str:
    return f"{amount} left" if left >= 0 else f"{amount} over"


def _defects() -> QuerySet[DeferredDefect]:
    return DeferredDefect.objects.select_related("engine", "engine__owner", "job", "by", "accepted_by")
