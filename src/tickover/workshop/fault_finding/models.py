"""Sessions, their answers and their ends. Rows are written once; the newest row about a thing counts."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine, SheetVersion
from tickover.workshop.visits.models import Job


class Session(Recorded):
    """An engine in trouble, with the owner's own words. `follows`, `follows_job`: what it came back after."""

    number = models.CharField(max_length=20, unique=True)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="troubles")
    sheet = models.ForeignKey(SheetVersion, on_delete=models.PROTECT)
    complaint = models.TextField()
    engine_h = models.FloatField()
    follows = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="comebacks")
    follows_job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="comebacks")
    started_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Fault finding {self.number}"


class Answer(Recorded):
    """One thing that was looked at, opened or photographed; or, with `takes_back`, an answer taken back.

    `rests_on` names what an answer was taken from by its journal entry: "reading/7", "run-up/8", "photo/9".
    """

    class About(models.TextChoices):
        LOOK = "look"
        CAUSE = "cause"
        OPENING = "opening"
        PHOTOGRAPH = "photograph"

    class State(models.TextChoices):
        SEEN = "seen"
        ABSENT = "not there"
        NOT_LOOKED = "not looked"
        CANNOT = "cannot be done here"
        RULED_OUT = "ruled out"
        OPEN = "open"
        CLOSED = "closed"
        TAKEN = "taken"
        ELSEWHERE = "kept elsewhere"
        WITHOUT = "not photographed"
        REFUSED = "not counted"
        TAKEN_BACK = "taken back"

    session = models.ForeignKey(Session, on_delete=models.PROTECT, related_name="answers")
    about = models.CharField(max_length=15, choices=About)
    item = models.CharField(max_length=60)
    state = models.CharField(max_length=20, choices=State)
    words = models.CharField(max_length=500, blank=True)
    rests_on = models.CharField(max_length=60, blank=True)
    takes_back = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="taken_back_by"
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Outcome(Recorded):
    """How a session ended, or that it was taken up again; the newest row counts.

    `share`: chance of the cause when it ended [-]. `seen_at_the_part`: it was found by looking at the part
    itself, and not put right on its chance. `ruled_out`: titles of all that was ruled out by then.
    """

    class Kind(models.TextChoices):
        CAUSE = "cause found"
        OTHER = "something else"
        NOT_FOUND = "not found"
        TAKEN_UP = "taken up again"

    session = models.ForeignKey(Session, on_delete=models.PROTECT, related_name="outcomes")
    kind = models.CharField(max_length=20, choices=Kind)
    cause_id = models.CharField(max_length=60, blank=True)
    share = models.FloatField(null=True)
    seen_at_the_part = models.BooleanField(default=False)
    ruled_out = models.JSONField(default=list)
    words = models.TextField(blank=True)
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="troubles")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Cure(Recorded):
    """Whether putting a cause right took the complaint away; the newest row of an outcome counts."""

    outcome = models.ForeignKey(Outcome, on_delete=models.PROTECT, related_name="cures")
    cured = models.BooleanField()
    words = models.CharField(max_length=500, blank=True)
    engine_h = models.FloatField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Weighting(Recorded):
    """How many times as likely the records make some causes before any look; the newest row of a ground counts.

    `ground` names the record: "last-work/<job>", "overdue/<task>". `factor` multiplies the odds of each cause [-].
    """

    session = models.ForeignKey(Session, on_delete=models.PROTECT, related_name="weightings")
    ground = models.CharField(max_length=80)
    causes = models.JSONField(default=list)
    factor = models.FloatField()
    words = models.CharField(max_length=500)
    why = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
