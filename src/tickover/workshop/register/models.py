"""Rows of the register. All are written once; a mistake is corrected by a row that replaces the first."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded


class SheetVersion(Recorded):
    """A version of a type sheet, kept as its text, so that old jobs can be read by what they were done by."""

    fingerprint = models.CharField(max_length=64, unique=True)
    sheet_id = models.CharField(max_length=60, db_index=True)
    version = models.PositiveIntegerField()
    text = models.TextField()

    kept_by_hash = ("text",)


class Owner(Recorded):
    name = models.CharField(max_length=120, unique=True)


class Engine(Recorded):
    """An engine as it stands in the workshop's register."""

    name = models.CharField(max_length=60, unique=True, help_text="What people call it.")
    serial = models.CharField(max_length=40, unique=True)
    sheet_id = models.CharField(max_length=60)
    build_id = models.CharField(max_length=60)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="engines")
    in_service_on = models.DateField()


class EvidenceFile(Recorded):
    """A file stored once by its SHA-256 and never changed."""

    sha256 = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=200)
    size = models.PositiveBigIntegerField()


WITHDRAWN = "withdrawn"
RECONCILED = "reconciled"
MOVED = "runs moved by hand"
METERED = "two meter readings"
FIRST_READING = "first meter reading"


class EngineTimeEntry(Recorded):
    """A piece of engine time: how long, how sure, by what evidence. `replaces` names an entry it corrects."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="time_entries")
    on_day = models.DateField()
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    duration_h = models.FloatField()
    sd_h = models.FloatField()
    starts = models.PositiveIntegerField(default=0)
    grade = models.CharField(max_length=40)
    method = models.CharField(max_length=60)
    remarks = models.JSONField(default=list)
    runs = models.JSONField(default=list)
    evidence = models.ForeignKey(EvidenceFile, null=True, on_delete=models.PROTECT)
    entered_by = models.CharField(max_length=150)
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")


class MeterReading(Recorded):
    """What an engine meter showed. `value_h` + `offset_h` goes on across a replaced meter.

    `entry` is the engine time since the reading before; a reading whose entry is withdrawn counts no more.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="meter_readings")
    meter = models.CharField(max_length=60)
    read_at = models.DateTimeField()
    value_h = models.FloatField()
    offset_h = models.FloatField(default=0.0)
    lower = models.BooleanField(default=False, help_text="Lower than the one before, and confirmed.")
    remark = models.CharField(max_length=200, blank=True)
    entry = models.OneToOneField(EngineTimeEntry, on_delete=models.PROTECT, related_name="meter_reading")

    @property
    def metered_h(self) -> float:
        return self.value_h + self.offset_h


class Component(Recorded):
    """A part with a life of its own: it keeps its time when it moves to another engine."""

    class Kind(models.TextChoices):
        CARBURETTOR = "carburettor"
        PROPELLER = "propeller"
        CLUTCH = "clutch"
        CRANKSHAFT = "crankshaft"
        CYLINDER = "cylinder"
        PISTON = "piston"
        BELT = "drive belt"
        REDUCTION = "reduction drive"
        IGNITION = "ignition"
        FUEL_PUMP = "fuel pump"
        STARTER = "starter"
        EXHAUST = "exhaust"

    kind = models.CharField(max_length=40, choices=Kind)
    title = models.CharField(max_length=80)
    serial = models.CharField(max_length=40)
    initial_h = models.FloatField(default=0.0)
    initial_sd_h = models.FloatField(default=0.0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "serial"], name="one_component_a_serial")]

    def __str__(self) -> str:
        return f"{self.title} {self.serial}"


class Fitting(Recorded):
    """A component was put on an engine. `engine_h` is what the engine had by the records of that day."""

    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="fittings")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="fittings")
    fitted_at = models.DateTimeField()
    engine_h = models.FloatField()
    remark = models.CharField(max_length=200, blank=True)
    entered_by = models.CharField(max_length=150)


class Removal(Recorded):
    """It was taken off again; or, where `never_was`, its fitting is a mistake and counts nothing."""

    fitting = models.OneToOneField(Fitting, on_delete=models.PROTECT, related_name="removal")
    removed_at = models.DateTimeField()
    engine_h = models.FloatField()
    never_was = models.BooleanField(default=False)
    remark = models.CharField(max_length=200, blank=True)
    entered_by = models.CharField(max_length=150)


class Overhaul(Recorded):
    """The engine was overhauled on this day. A row that `replaces` one takes it back."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="overhauls")
    on_day = models.DateField()
    engine_h = models.FloatField()
    remark = models.CharField(max_length=200, blank=True)
    entered_by = models.CharField(max_length=150)
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")
