"""Forms of the instrument register."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.formats.number import NumberError, read_number
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.instruments.models import KINDS

UNITS = ("mm", "in", "bar", "mbar", "kPa", "psi", "N.m", "in-lb", "N", "rpm", "deg C", "deg F", "Hz", "ohm",
         "kohm", "g", "kg", "turns", "deg")  # fmt: skip


class Number(forms.CharField):
    """A number as it is typed, with a comma or a point."""

    def __init__(self, label: str, **more: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(label=label, max_length=20, widget=forms.TextInput(attrs), **more)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_number(text, unit="", name=str(self.label))
        except NumberError as error:
            raise forms.ValidationError(str(error)) from error


class Day(forms.DateField):
    def __init__(self, label: str, **more: Any) -> None:
        super().__init__(label=label, widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"), **more)


class InstrumentForm(forms.Form):
    number = forms.CharField(
        label="Your number for it", max_length=20, help_text="As it is written on the instrument."
    )
    kind = forms.ChoiceField(label="Kind", choices=[(kind, kind.replace("-", " ")) for kind in KINDS])
    title = forms.CharField(label="What it is", max_length=80)
    serial = forms.CharField(label="Serial", max_length=60, required=False)
    unit = forms.ChoiceField(label="Unit it reads in", choices=[(unit, unit) for unit in UNITS])
    range_lower = Number("Range from", required=False)
    range_upper = Number("Range to", required=False)
    resolution = Number("Smallest step it shows")
    expanded_uncertainty = Number(
        "Expanded uncertainty (k = 2)", help_text="In its unit, from the certificate or the maker’s data."
    )
    percent = Number("and percent of reading", required=False, help_text="Empty for none.")
    location = forms.CharField(label="Where it is kept", max_length=80, required=False)

    def new(self) -> NewInstrument:
        given = self.cleaned_data
        return NewInstrument(**{**given, "percent": given["percent"] or 0.0})


class CalibrationForm(forms.Form):
    on_day = Day("Calibrated on")
    due_on = Day("Due again on", required=False, help_text="Empty where it needs none again.")
    certificate = forms.CharField(label="Certificate, or who compared it", max_length=80)
    expanded_uncertainty = Number(
        "Expanded uncertainty (k = 2)", required=False, help_text="Empty where it is as before."
    )
    percent = Number("and percent of reading", required=False, help_text="Empty where it is as before.")
    remark = forms.CharField(label="Remark", max_length=200, required=False)

    def new(self) -> NewCalibration:
        return NewCalibration(**self.cleaned_data)
