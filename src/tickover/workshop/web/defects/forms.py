"""Forms of deferred defects, each accepted by name and password on the same tablet."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.workshop.defects.actions import NewDefect, Until, who_may_accept
from tickover.workshop.people.models import Person
from tickover.workshop.web.typed_fields import Day, NumberField, SentForm, Words


class AcceptedForm(forms.Form):
    """Who accepts, and that it is he."""

    accepted_by = forms.ChoiceField(
        label="Accepted by", help_text="An inspector or a manager, on this tablet."
    )
    password = forms.CharField(
        max_length=200,
        label="Password of who accepts",
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, who: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        accepting = who_may_accept(other_than=who)
        field = self.fields["accepted_by"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "Choose a name"), *((p.username, f"{p}, {p.role}") for p in accepting)]
        if who in accepting:  # one who works alone is signed in already
            del self.fields["password"]


class UntilForm(AcceptedForm):
    """A limit, hours with a comma or a point; at least one of the two, which the action asks for."""

    until_h = NumberField(
        "h",
        required=False,
        label="Until engine hours since new",
        help_text="What the hours since new may reach.",
    )
    until_on = Day(required=False, label="Until the day")

    def until(self) -> Until:
        return Until(self.cleaned_data["until_h"], self.cleaned_data["until_on"])


class DeferForm(UntilForm):
    """A defect that is to wait."""

    what = forms.CharField(max_length=300, label="What is wrong")
    why_it_may_wait = forms.CharField(
        max_length=500,
        label="Why it may wait",
        help_text="By the manual, a rule or your own judgement.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    job = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)
    step = forms.CharField(max_length=130, required=False, widget=forms.HiddenInput)
    task = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    field_order = ("what", "why_it_may_wait", "until_h", "until_on", "accepted_by", "password")

    def new(self) -> NewDefect:
        data: dict[str, Any] = self.cleaned_data
        return NewDefect(
            data["what"],
            data["why_it_may_wait"],
            data["until_h"],
            data["until_on"],
            step_id=data["step"],
            task_id=data["task"],
        )


class ExtendForm(UntilForm):
    """Another limit for a defect that waits."""

    reason = forms.CharField(
        max_length=300,
        label="Why another limit holds",
        help_text="By the manual, a rule or your own judgement.",
    )
    field_order = ("until_h", "until_on", "reason", "accepted_by", "password")


class WithdrawForm(AcceptedForm):
    """A deferral that is taken back."""

    reason = forms.CharField(
        max_length=300, label="Why", help_text="There was no such defect, or it may not wait after all."
    )
    field_order = ("reason", "accepted_by", "password")


class SeenAtForm(SentForm):
    """The job and the step at which a defect was seen, or the task that is to wait."""

    job, step, task = Words(), Words(), Words()


class RectifyForm(SentForm):
    job, how = Words(), Words()
