"""Bench hours a week, the page of the list, and the day agreed for a visit."""

from __future__ import annotations

from django import forms

from tickover.workshop.web.typed_fields import Day, NumberField


class BenchHoursForm(forms.Form):
    """The bench hours there are in a week, and the page of the list."""

    hours = NumberField("h", least=0.1, most=1000.0, required=False, label="Bench hours in a week")
    page = forms.CharField(required=False, max_length=6, widget=forms.HiddenInput)


class AgreedDayForm(forms.Form):
    """A day; empty gives the visit free again."""

    on_day = Day(required=False)
