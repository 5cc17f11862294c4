"""What a person is about to change. A draft decides nothing, so it stands in no journal until it is kept."""

from __future__ import annotations

from django.db import models

from tickover.workshop.people.models import Person
from tickover.workshop.register.models import SheetVersion


class SheetDraft(models.Model):
    """One person's draft of one type sheet: its whole text, and the version it was begun on (none: new).

    `shipped`: fingerprint of a shipped text that was laid into it. `collisions`: places where an own change
    and another one met, each as a sentence.
    """

    sheet_id = models.CharField(max_length=60)
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="sheet_drafts")
    base = models.ForeignKey(SheetVersion, null=True, on_delete=models.PROTECT, related_name="+")
    text = models.TextField()
    shipped = models.CharField(max_length=64, blank=True)
    collisions = models.JSONField(default=list)
    changed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet_id", "by"], name="one_draft_a_person")]
