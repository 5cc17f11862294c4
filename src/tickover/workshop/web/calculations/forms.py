"""Whose engine a calculation is filled in from; its own fields are read by the calculation."""

from __future__ import annotations

from tickover.workshop.web.typed_fields import SentForm, Words


class OfEngineForm(SentForm):
    engine = Words()
