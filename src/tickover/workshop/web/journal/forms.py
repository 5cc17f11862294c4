"""Which entries of the journal are asked for."""

from __future__ import annotations

from tickover.workshop.web.typed_fields import SentForm, Words


class EntriesForm(SentForm):
    """Those before an entry, and those of one subject."""

    before, subject = Words(), Words()
