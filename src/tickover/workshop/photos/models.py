"""Photos and their withdrawals. A photo is never deleted: what was seen stays seen."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import EvidenceFile


class Photo(Recorded):
    """A picture of a subject such as "job/2026-0001/step/lever-height" or "trouble/T-2026-0001"."""

    subject_kind = models.CharField(max_length=20)
    subject_key = models.CharField(max_length=180)
    image = models.ForeignKey(EvidenceFile, on_delete=models.PROTECT, related_name="+")
    thumbnail = models.ForeignKey(EvidenceFile, on_delete=models.PROTECT, related_name="+")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["subject_kind", "subject_key"])]

    @property
    def subject(self) -> str:
        return f"{self.subject_kind}/{self.subject_key}"

    @property
    def number(self) -> int:
        """By which it is asked for: that of its journal entry."""
        return self.entry_sequence

    @property
    def words(self) -> str:
        """What replaces it for a reader who cannot see it."""
        return self.note or f"Photo without a note, by {self.by}"


class PhotoWithdrawn(Recorded):
    """A photo that counts no more, and why."""

    photo = models.OneToOneField(Photo, on_delete=models.PROTECT, related_name="withdrawn")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
