"""Forms of the programme. They read what was typed; what it means is decided by the actions."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from tickover.workshop.programme.decisions import sheets_kept
from tickover.workshop.programme.models import BulletinDone
from tickover.workshop.web.typed_fields import NumberField

LARGEST_SERIAL = 10**12
DAY = forms.DateInput(attrs={"type": "date"})


class BulletinForm(forms.Form):
    """A bulletin as it is read from its paper."""

    identifier = forms.CharField(max_length=80, help_text="As printed, with its revision.")
    issued_by = forms.CharField(max_length=120)
    title = forms.CharField(max_length=200)
    sheet_id = forms.ChoiceField(label="Engine type")
    builds = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, help_text="None ticked: every build."
    )
    serial_from = NumberField(
        label="First serial number", required=False, whole=True, least=0, most=LARGEST_SERIAL
    )
    serial_to = NumberField(
        label="Last serial number", required=False, whole=True, least=0, most=LARGEST_SERIAL
    )
    issued_on = forms.DateField(widget=DAY)
    mandatory = forms.BooleanField(
        required=False, help_text="Binding by a rule. Otherwise the owner decides."
    )
    within_h = NumberField("h", label="Within hours of its issue", required=False, least=0)
    due_on = forms.DateField(label="By date", required=False, widget=DAY)
    every_h = NumberField("h", label="Again every … hours", required=False, least=0.1)
    every_months = NumberField(label="Again every … months", required=False, whole=True, least=1, most=600)
    method = forms.CharField(
        label="Method of compliance", max_length=4000, widget=forms.Textarea(attrs={"rows": 5})
    )
    cancelled_because = forms.CharField(
        required=False,
        max_length=300,
        help_text="If it was cancelled or replaced: by what.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sheets = sheets_kept()
        self.fields["sheet_id"].choices = [(s.id, s.title) for s in sheets]  # type: ignore[attr-defined]
        self.fields["builds"].choices = [  # type: ignore[attr-defined]
            (b.id, f"{s.title}: {b.title}" if len(sheets) > 1 else b.title) for s in sheets for b in s.builds
        ]


class ComplianceForm(forms.Form):
    outcome = forms.ChoiceField(choices=BulletinDone.Outcome.choices)
    done_on = forms.DateField()
    words = forms.CharField(max_length=500)


class ProgrammeReasonForm(forms.Form):
    reason = forms.CharField(max_length=300)


class HoursKnownForm(ProgrammeReasonForm):
    """Whether the hours are known, and why; only "yes" says they are."""

    known = forms.CharField(required=False)


class BaselineForm(forms.Form):
    words = forms.CharField(max_length=60)


class AnchorForm(forms.Form):
    anchor = forms.ChoiceField(
        choices=[("", "sheet"), ("planned", "planned"), ("actual", "actual")], required=False
    )
    reason = forms.CharField(max_length=300)


class LetterForm(forms.Form):
    to = forms.EmailField(max_length=254)
    title = forms.CharField(max_length=200)
    text = forms.CharField(max_length=20_000, strip=False)


def is_for_owner(data: QueryDict) -> bool:
    """Whether a calendar is of all engines of the owner, and not of one engine alone."""
    return data.get("for") == "owner"
