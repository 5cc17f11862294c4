"""A defect that was allowed to wait, and what ended the waiting."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job


class DeferredDefect(Recorded):
    """A defect deferred on an engine, from a finding at a step (`job`, `step_id`, `finding_id`) or on its own.

    `until_h` counts in hours since new. `task_id` is the task that would put it right, where one is named.
    """

    number = models.CharField(max_length=20, unique=True)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="deferred_defects")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="deferred_defects", null=True)
    step_id = models.CharField(max_length=130, blank=True)
    finding_id = models.CharField(max_length=60, blank=True)
    task_id = models.CharField(max_length=60, blank=True)
    what = models.CharField(max_length=300)
    why_it_may_wait = models.CharField(max_length=500)
    until_h = models.FloatField(null=True)
    until_on = models.DateField(null=True)
    engine_h = models.FloatField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    accepted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class DefectRectified(Recorded):
    """A defect put right in a job. It counts from that job's release on, and not if it ends without one."""

    defect = models.ForeignKey(DeferredDefect, on_delete=models.PROTECT, related_name="rectifications")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="rectified_defects")
    how = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class DeferralExtended(Recorded):
    """Another limit for a defect that waits, accepted anew; the newest one counts from then on."""

    defect = models.ForeignKey(DeferredDefect, on_delete=models.PROTECT, related_name="extensions")
    until_h = models.FloatField(null=True)
    until_on = models.DateField(null=True)
    reason = models.CharField(max_length=300)
    engine_h = models.FloatField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    accepted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class DeferralWithdrawn(Recorded):
    """A deferral that stands no more, and why: there was no such defect, or it may not wait after all."""

    defect = models.OneToOneField(DeferredDefect, on_delete=models.PROTECT, related_name="withdrawn")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    accepted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
