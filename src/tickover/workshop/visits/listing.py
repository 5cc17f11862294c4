"""The list of visits: searched by engine, owner or number, by who worked on it, by month; a page at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import Q, QuerySet
from django.utils.timezone import make_aware

from tickover.workshop.visits.models import Job, StepMark
from tickover.workshop.visits.queries import listed

PAGE = 20


@dataclass(frozen=True)
class Wanted:
    """Which visits: words in engine, serial, owner or number; a username; the first day of a month."""

    text: str = ""
    person: str = ""
    month: date | None = None

    @property
    def any(self) -> bool:
        return bool(self.text or self.person or self.month)


@dataclass(frozen=True)
class VisitsPage:
    """Some visits, newest first; `older` is the number after which the next page begins, "" for the last one."""

    jobs: Sequence[Job]
    count: int
    older: str


def visits_page(wanted: Wanted, after: str = "") -> VisitsPage:
    """A page of the visits that are wanted, from the first one after a number on."""
    found = _found(wanted)
    rows = found
    if last := Job.objects.filter(number=after).first():
        earlier = Q(opened_at__lt=last.opened_at) | Q(opened_at=last.opened_at, pk__lt=last.pk)
        rows = found.filter(earlier)
    shown = list(rows.order_by("-opened_at", "-pk")[: PAGE + 1])
    more = len(shown) > PAGE
    return VisitsPage(shown[:PAGE], found.count(), shown[PAGE - 1].number if more else "")


def _found(wanted: Wanted) -> QuerySet[Job]:
    rows = listed()
    for word in wanted.text.split():
        rows = rows.filter(
            Q(engine__name__icontains=word)
            | Q(engine__serial__icontains=word)
            | Q(engine__owner__name__icontains=word)
            | Q(number__icontains=word)
        )
    if wanted.person:
        marked = StepMark.objects.filter(by__username=wanted.person).values("job")
        rows = rows.filter(
            Q(opened_by__username=wanted.person) | Q(release__by__username=wanted.person) | Q(pk__in=marked)
        )
    if wanted.month:
        rows = rows.filter(opened_at__gte=_begin(wanted.month), opened_at__lt=_begin(_next(wanted.month)))
    return rows


def _begin(day: date) -> datetime:
    return make_aware(datetime.combine(day, time()))


def _next(month: date) -> date:
    return date(month.year + month.month // 12, month.month % 12 + 1, 1)
