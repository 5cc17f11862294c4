"""Forms of the instrument register."""

from __future__ import annotations

from django import forms

from tickover.science.fasteners.set_torque import CLASSES
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.instruments.models import KINDS
from tickover.workshop.web.typed_fields import Day, NumberField, SentForm, Words

UNITS = ("mm", "in", "bar", "mbar", "kPa", "psi", "N.m", "in-lb", "N", "rpm", "deg C", "deg F", "Hz", "ohm",
         "kohm", "g", "kg", "turns", "deg")  # fmt: skip

TOOL_CLASSES = [
    ("", "not known, or no torque tool"),
    *((n, f"{n}: {what}") for n, (what, *_) in CLASSES.items()),
]
BY_CLASS = "Type and class by ISO 6789, from its marking or papers."


class InstrumentForm(forms.Form):
    number = forms.CharField(
        label="Your number for it", max_length=20, help_text="As written on the instrument."
    )
    kind = forms.ChoiceField(label="Kind", choices=[(kind, kind.replace("-", " ")) for kind in KINDS])
    title = forms.CharField(label="What it is", max_length=80)
    serial = forms.CharField(label="Serial", max_length=60, required=False)
    unit = forms.ChoiceField(label="Unit it reads in", choices=[(unit, unit) for unit in UNITS])
    range_lower = NumberField(label="Range from", required=False)
    range_upper = NumberField(label="Range to", required=False)
    resolution = NumberField(label="Smallest step it shows")
    expanded_uncertainty = NumberField(
        label="Expanded uncertainty (k = 2)",
        help_text="In its unit, from the certificate or the maker’s data.",
    )
    percent = NumberField(label="and percent of reading", required=False, help_text="Empty for none.")
    tool_class = forms.ChoiceField(
        label="Torque tool: class", choices=TOOL_CLASSES, required=False, help_text=BY_CLASS
    )
    location = forms.CharField(label="Place", max_length=80, required=False)

    def new(self) -> NewInstrument:
        given = self.cleaned_data
        return NewInstrument(**{**given, "percent": given["percent"] or 0.0})


class CalibrationForm(forms.Form):
    on_day = Day(label="Calibrated on")
    due_on = Day(label="Due again on", required=False, help_text="Empty where it needs none again.")
    certificate = forms.CharField(label="Certificate, or who compared it", max_length=80)
    expanded_uncertainty = NumberField(
        label="Expanded uncertainty (k = 2)", required=False, help_text="Empty where it is as before."
    )
    percent = NumberField(
        label="and percent of reading", required=False, help_text="Empty where it is as before."
    )
    tool_class = forms.ChoiceField(
        label="Torque tool: class",
        choices=TOOL_CLASSES,
        required=False,
        help_text="Empty where it is as before.",
    )
    remark = forms.CharField(label="Remark", max_length=200, required=False)

    def new(self) -> NewCalibration:
        return NewCalibration(**self.cleaned_data)


class MoveForm(SentForm):
    """Another place, or another state with its reason."""

    location, reason = Words(80), Words()


class InstrumentListForm(SentForm):
    """The order of the list, and of which kind."""

    sort, kind = Words(), Words()
