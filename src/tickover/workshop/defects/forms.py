"""The form by which a defect is deferred, accepted by name and password on the same tablet."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.formats.number import NumberError, read_number
from tickover.workshop.defects.actions import NewDefect
from tickover.workshop.people.models import Person


class DeferForm(forms.Form):
    """Hours with a comma or a point; at least one of the two limits, which the action asks for."""

    what = forms.CharField(max_length=300, label="What is wrong")
    why_it_may_wait = forms.CharField(
        max_length=500,
        label="Why it may wait",
        help_text="By the manual, a rule or your own judgement: say which.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    until_h = forms.CharField(
        max_length=20,
        required=False,
        label="Until engine hours since new",
        help_text="What the hours since new may reach.",
    )
    until_on = forms.DateField(
        required=False, label="Until the day", widget=forms.DateInput(attrs={"type": "date"})
    )
    job = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)
    step = forms.CharField(max_length=130, required=False, widget=forms.HiddenInput)
    accepted_by = forms.ChoiceField(
        label="Accepted by", help_text="An inspector or a manager, on this tablet."
    )
    password = forms.CharField(
        max_length=200,
        required=False,
        label="Password of who accepts",
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, accepting: list[Person], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["accepted_by"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "Choose a name"), *((p.username, f"{p}, {p.role}") for p in accepting)]

    def clean_until_h(self) -> float | None:
        text = self.cleaned_data["until_h"].strip()
        if not text:
            return None
        try:
            return read_number(text, unit="h", name="Engine hours")
        except NumberError as error:
            raise forms.ValidationError(str(error)) from error

    def new(self) -> NewDefect:
        data: dict[str, Any] = self.cleaned_data
        return NewDefect(
            data["what"], data["why_it_may_wait"], data["until_h"], data["until_on"], data["step"]
        )
