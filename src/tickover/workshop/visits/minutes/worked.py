"""Reads of the bench clock: whose runs, what a visit took, and what visits took beside what their cards said."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Sum

from tickover.science.planning.bench_pace import LEAST_MIN, MOST_MIN
from tickover.workshop.people.models import Person
from tickover.workshop.visits.models import ClockStarted, ComposedCard, Job, WorkedTime

VISITS = 40
"""So many of the newest visits teach how long work takes here."""


@dataclass(frozen=True)
class BenchTime:
    """What a visit took so far, person by person, and the clock of whoever looks. [min]"""

    by_person: tuple[tuple[str, float], ...]
    mine: ClockStarted | None

    @property
    def minutes(self) -> float:
        return sum(minutes for _, minutes in self.by_person)

    @property
    def words(self) -> str:
        """For example "Mara 95 min, Tamsin 20 min"."""
        return ", ".join(f"{name} {minutes:.0f} min" for name, minutes in self.by_person)


def running(person: Person) -> ClockStarted | None:
    """The clock of a person that runs, on whichever visit."""
    return ClockStarted.objects.filter(by=person, stopped=None).select_related("job").first()


def bench_time(job: Job, person: Person | None) -> BenchTime:
    """What a visit took so far, and the clock of this person where it runs on it."""
    spent: dict[str, float] = {}
    for row in WorkedTime.objects.filter(job=job).select_related("by").order_by("id"):
        spent[str(row.by)] = spent.get(str(row.by), 0.0) + row.minutes
    on = running(person) if person else None
    return BenchTime(tuple(spent.items()), on if on is not None and on.job_id == job.pk else None)


def card_and_worked() -> list[tuple[float, float]]:
    """Minutes by the card and minutes worked, of the newest released visits that have both to go by. [min]"""
    worked = WorkedTime.objects.filter(job__release__isnull=False).values("job").annotate(m=Sum("minutes"))
    newest = {row["job"]: float(row["m"]) for row in worked.order_by("-job")[:VISITS]}
    cards = ComposedCard.objects.filter(job__in=newest).order_by("id").values_list("job", "minutes")
    pairs = [(minutes, newest[job]) for job, minutes in dict(cards).items()]
    return [pair for pair in pairs if all(LEAST_MIN <= minutes <= MOST_MIN for minutes in pair)]
