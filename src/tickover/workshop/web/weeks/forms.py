"""Bench hours a week, the page of the list, and the day agreed for a visit."""

from __future__ import annotations

from django import forms

from tickover.workshop.web.typed_fields import Day, SentForm, Words


class BenchHoursForm(SentForm):
    hours, page = Words(), Words(6)


class AgreedDayForm(forms.Form):
    """A day; empty gives the visit free again."""

    on_day = Day(required=False)
