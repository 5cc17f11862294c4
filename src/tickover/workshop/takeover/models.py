"""Which column is which in tables that were read before."""

from __future__ import annotations

from django.db import models


class RememberedColumns(models.Model):
    """Columns as a person corrected them, by the first row of the table: no record, only a memory."""

    fingerprint = models.CharField(max_length=64, primary_key=True)
    header = models.BooleanField()
    places = models.JSONField()
