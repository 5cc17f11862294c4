"""Rows of the register. All are written once; a mistake is corrected by a row that replaces the first."""

from __future__ import annotations

from django.db import models

from tickover.workshop.journal.models import Recorded


class SheetVersion(Recorded):
    """One version of a type sheet, kept as its text, so that old jobs can be read by what they were done by."""

    fingerprint = models.CharField(max_length=64, unique=True)
    sheet_id = models.CharField(max_length=60, db_index=True)
    version = models.PositiveIntegerField()
    text = models.TextField()


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
