"""What comes with a photo, and the reason why one is withdrawn."""

from __future__ import annotations

from tickover.workshop.web.typed_fields import SentForm, Words


class PhotoForm(SentForm):
    subject, note, reason = Words(), Words(), Words()
