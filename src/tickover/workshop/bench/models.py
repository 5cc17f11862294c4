"""What happened on the bench. Rows are written once; the newest row of a step says how it stands."""

from __future__ import annotations

from django.db import models

from tickover.workshop.journal.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine, SheetVersion


class Job(Recorded):
    """One task on one engine, by one card of one version of its sheet."""

    number = models.CharField(max_length=20, unique=True)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="jobs")
    sheet = models.ForeignKey(SheetVersion, on_delete=models.PROTECT)
    task_id = models.CharField(max_length=60)
    card_id = models.CharField(max_length=60)
    opened_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    engine_h = models.FloatField()


class KitNote(Recorded):
    """The lot of the kit whose pieces went into the engine."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="kit_notes")
    lot = models.CharField(max_length=80)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")


class StepMark(Recorded):
    """A step marked done, or opened again."""

    class State(models.TextChoices):
        DONE = "done"
        REOPENED = "reopened"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="marks")
    step_id = models.CharField(max_length=60)
    state = models.CharField(max_length=10, choices=State)
    finding_id = models.CharField(max_length=60, blank=True)
    remark = models.TextField(blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Reading(Recorded):
    """A reading as it was typed, as it was taken, and how it was judged."""

    class Purpose(models.TextChoices):
        STEP = "step"
        SECOND_CHECK = "second check"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="readings")
    step_id = models.CharField(max_length=60)
    limit_id = models.CharField(max_length=60)
    purpose = models.CharField(max_length=15, choices=Purpose)
    typed = models.CharField(max_length=40)
    value = models.FloatField()
    unit = models.CharField(max_length=20)
    decision = models.CharField(max_length=15)
    probability_inside = models.FloatField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class SecondCheck(Recorded):
    """A critical step confirmed by a second person, or by a timed second look where one works alone."""

    class Kind(models.TextChoices):
        PERSON = "second person"
        LOOK = "second look"

    mark = models.OneToOneField(StepMark, on_delete=models.PROTECT, related_name="second_check")
    kind = models.CharField(max_length=15, choices=Kind)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Release(Recorded):
    """The engine released to service after a job."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="release")
    number = models.CharField(max_length=20, unique=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    authority = models.CharField(max_length=120)
    at = models.DateTimeField()
    engine_h = models.FloatField()
    engine_sd_h = models.FloatField()
    not_done = models.TextField(blank=True)
    limitations = models.TextField(blank=True)


class Closure(Recorded):
    """A job closed without a release, and why."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="closure")
    reason = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
