"""Bench hours a week, as they are asked for."""

from __future__ import annotations

from tickover.workshop.web.typed_fields import SentForm, Words


class BenchHoursForm(SentForm):
    hours = Words()
