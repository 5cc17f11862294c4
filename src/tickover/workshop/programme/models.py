"""When tasks were done, what bulletins ask, what the workshop decided, and what it told owners."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine, Owner


class TaskDone(Recorded):
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="tasks_done")
    task_id = models.CharField(max_length=60)
    done_on = models.DateField()
    at_h = models.FloatField()
    planned_on = models.DateField(null=True)
    planned_h = models.FloatField(null=True)
    reference = models.CharField(max_length=120)

    class Meta:
        indexes = [models.Index(fields=["engine", "task_id"])]


class Bulletin(Recorded):
    """A bulletin or directive as its issuer worded it. A newer reading of it replaces the row."""

    identifier = models.CharField(max_length=80, db_index=True)
    issued_by = models.CharField(max_length=120)
    title = models.CharField(max_length=200)
    sheet_id = models.CharField(max_length=60)
    builds = models.JSONField(default=list)
    serial_from = models.PositiveBigIntegerField(null=True)
    serial_to = models.PositiveBigIntegerField(null=True)
    issued_on = models.DateField()
    mandatory = models.BooleanField()
    method = models.TextField()
    within_h = models.FloatField(null=True)
    due_on = models.DateField(null=True)
    every_h = models.FloatField(null=True)
    every_months = models.PositiveIntegerField(null=True)
    cancelled_because = models.CharField(max_length=300, blank=True)
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT)
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")


class BulletinDone(Recorded):
    """What was decided or done about a bulletin on one engine; the newest row of an engine counts."""

    class Outcome(models.TextChoices):
        DONE = "done", "done"
        NOT_APPLICABLE = "not applicable", "not applicable to this engine"
        DECLINED = "not wanted", "not wanted by the owner"
        OPEN = "open again", "open again: the last record was a mistake"

    bulletin = models.ForeignKey(Bulletin, on_delete=models.PROTECT)
    identifier = models.CharField(max_length=80, db_index=True)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="bulletins_done")
    outcome = models.CharField(max_length=20, choices=Outcome)
    done_on = models.DateField()
    at_h = models.FloatField()
    words = models.CharField(max_length=500)
    by = models.ForeignKey(Person, on_delete=models.PROTECT)


class ProgrammeSetting(Recorded):
    """From what this workshop counts the next time on, for every task of a sheet; the newest row counts."""

    sheet_id = models.CharField(max_length=60, db_index=True)
    anchor = models.CharField(max_length=20)
    reason = models.CharField(max_length=300)


class HoursNote(Recorded):
    """Whether an engine's hours can be trusted, and why; the newest row of an engine counts."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="hours_notes")
    known = models.BooleanField()
    noted_on = models.DateField()
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT)


class LastTimeNotKnown(Recorded):
    """Nobody knows when a task was last done on an engine; without a task: every task that has no entry.

    What is recorded as done later is known again.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="last_times_not_known")
    task_id = models.CharField(max_length=60, blank=True)
    noted_on = models.DateField()
    source = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT)


class FeedAddress(Recorded):
    """A private calendar address, of one engine or of all of an owner's. Only its SHA-256 is kept."""

    token_sha256 = models.CharField(max_length=64, unique=True)
    engine = models.ForeignKey(Engine, null=True, on_delete=models.PROTECT)
    owner = models.ForeignKey(Owner, null=True, on_delete=models.PROTECT)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT)
    made_at = models.DateTimeField()


class FeedWithdrawn(Recorded):
    """A calendar address that answers no more."""

    address = models.OneToOneField(FeedAddress, on_delete=models.PROTECT, related_name="withdrawn")
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    at = models.DateTimeField()


class SentDate(models.Model):
    """The day last handed to calendars for a task, and how often it moved: no record, only a memory."""

    engine = models.ForeignKey(Engine, on_delete=models.CASCADE)
    task_id = models.CharField(max_length=120)
    day = models.DateField()
    sequence = models.PositiveIntegerField(default=0)
    moved_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["engine", "task_id"], name="one_date_for_a_task")]


class ReminderSent(Recorded):
    """A reminder that was mailed to an owner, word for word."""

    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="reminders")
    to = models.CharField(max_length=254)
    title = models.CharField(max_length=200)
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    at = models.DateTimeField()


class AgreedDay(Recorded):
    """The day that was agreed for the next visit of an engine; None gives it free again. The newest row counts."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="agreed_days")
    on_day = models.DateField(null=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
