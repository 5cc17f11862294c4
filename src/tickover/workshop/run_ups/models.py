"""Run-ups of an engine. Rows are written once; the newest acceptance of a run says whether it counts."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine, EvidenceFile
from tickover.workshop.visits.models import Job


class RunUp(Recorded):
    """A run on the ground: its file, the air and the fuel of the day, where the needles stood.

    `figures` are derived from the file and can be derived again: id of the measure to value, null where it was not
    measured. `columns` is what a person said of the table's columns, {} where its headers told. Pressure is that at
    the field (QFE) [hPa]; temperatures [°C]; turns out from lightly seated.
    """

    class BeforeOrAfter(models.TextChoices):
        NONE = ""
        BEFORE = "before"
        AFTER = "after"

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="run_ups")
    on_day = models.DateField()
    evidence = models.ForeignKey(EvidenceFile, on_delete=models.PROTECT, related_name="run_ups")
    kind = models.CharField(max_length=30)
    columns = models.JSONField(default=dict)
    figures = models.JSONField(default=dict)
    air_c = models.FloatField(null=True)
    pressure_hpa = models.FloatField(null=True)
    humidity_percent = models.FloatField(null=True)
    fuel = models.CharField(max_length=20, blank=True)
    petrol_to_oil = models.FloatField(null=True)
    turns_low = models.FloatField(null=True)
    turns_high = models.FloatField(null=True)
    thrust_kgf = models.FloatField(null=True)
    remark = models.CharField(max_length=300, blank=True)
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="run_ups")
    before_or_after = models.CharField(max_length=10, blank=True, choices=BeforeOrAfter, db_column="moment")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Acceptance(Recorded):
    """A person took a run into the engine's baseline, or kept it out, and why."""

    run = models.ForeignKey(RunUp, on_delete=models.PROTECT, related_name="acceptances")
    accepted = models.BooleanField()
    why = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class KnownColumns(Recorded):
    """What a person said of a logger's columns; its next file is known by the fingerprint of its headers."""

    fingerprint = models.CharField(max_length=64, db_index=True)
    columns = models.JSONField(default=dict)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class NeedleNote(Recorded):
    """Where the needles stand now, in which air, with what in the tank; `run` is the run-up it followed from."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="needle_notes")
    run = models.ForeignKey(RunUp, null=True, on_delete=models.PROTECT, related_name="+")
    turns_low = models.FloatField()
    turns_high = models.FloatField()
    air_c = models.FloatField(null=True)
    pressure_hpa = models.FloatField(null=True)
    fuel = models.CharField(max_length=20, blank=True)
    petrol_to_oil = models.FloatField(null=True)
    remark = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
