"""When a task was done on an engine, and where it was planned to be done."""

from __future__ import annotations

from django.db import models

from tickover.workshop.journal.models import Recorded
from tickover.workshop.register.models import Engine


class TaskDone(Recorded):
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="tasks_done")
    task_id = models.CharField(max_length=60)
    done_on = models.DateField()
    at_h = models.FloatField()
    planned_on = models.DateField(null=True)
    planned_h = models.FloatField(null=True)
    reference = models.CharField(max_length=60)

    class Meta:
        indexes = [models.Index(fields=["engine", "task_id"])]
