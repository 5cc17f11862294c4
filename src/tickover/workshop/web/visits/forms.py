"""Forms of the bench, all but that of a reading, which is made for its limit."""

from typing import Any
from urllib.parse import urlencode

from django import forms

from tickover.workshop.people import queries as people
from tickover.workshop.visits.listing import Wanted
from tickover.workshop.web.typed_fields import Day, SentForm, Several, Words


class DoneForm(forms.Form):
    finding_id = forms.CharField(max_length=60, required=False)
    remark = forms.CharField(max_length=2000, required=False)
    no_photo = forms.CharField(max_length=300, required=False)


class SecondCheckForm(forms.Form):
    """The second person confirms on the same tablet by name and password, or as the one signed in."""

    username = forms.CharField(max_length=150, required=False)
    password = forms.CharField(max_length=200, required=False)


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=500, required=False)


class ReleaseForm(forms.Form):
    not_done = forms.CharField(max_length=2000, required=False)
    limitations = forms.CharField(max_length=2000, required=False)
    despite = forms.CharField(max_length=2000, required=False)


class RenewForm(SentForm):
    """A part renewed for an exceedance, and the place and the limit the exceedance is of."""

    place, what, part, lot = Words(), Words(), Words(120), Words(80)


class DecideForm(SentForm):
    place, what, words = Words(), Words(), Words(2000)


class RemarkOnForm(SentForm):
    """A remark on a job, or on one of its steps."""

    step, text = Words(), Words()


class PauseForm(SentForm):
    where, why = Words(), Words()


class HandOverForm(SentForm):
    to, still_open, note = Words(), Words(), Words()


class MinutesForm(SentForm):
    """What the clock is to do: start, stop, or take minutes that are typed."""

    what, minutes = Words(10), Words(20)


class HandBackForm(SentForm):
    """Who took the engine, with what, and what was said."""

    to, went_with, words = Words(120), Words(500), Words(1000)


class TaskForm(SentForm):
    """A task added to a job or taken out of it, and why."""

    task, why, occasion, reason = Words(), Words(), Words(), Words()


class KitForm(SentForm):
    lot, card = Words(), Words()


class NotMeasuredForm(SentForm):
    reason = Words(300)


class NextForm(SentForm):
    """Whether the next step is wanted, after a reading."""

    then = Words()


class Month(forms.DateField):
    """A month as browsers send it, "2026-11"; its first day."""

    def __init__(self, **more: Any) -> None:
        widget = forms.DateInput({"type": "month"}, format="%Y-%m")
        super().__init__(widget=widget, input_formats=["%Y-%m"], **more)


class VisitsForm(forms.Form):
    """Which visits of the list are wanted; `after`: the number the page before ended with."""

    q = forms.CharField(label="Engine, owner or number", required=False, max_length=100)
    person = forms.ChoiceField(label="Worked on by", required=False)
    month = Month(label="Month", required=False)
    after = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        person = self.fields["person"]
        assert isinstance(person, forms.ChoiceField)
        person.choices = [("", "anybody"), *((p.username, str(p)) for p in people.everyone())]

    def wanted(self) -> Wanted:
        """What is asked for; a field that cannot be read asks for nothing."""
        self.is_valid()
        data = self.cleaned_data
        return Wanted(data.get("q", ""), data.get("person", ""), data.get("month"))

    def asked(self) -> str:
        """The same as the address of a page has it, without the page."""
        return urlencode({n: self.data[n] for n in ("q", "person", "month") if self.data.get(n)})


class ChangesForm(SentForm):
    """The journal entry up to which a page is, and the step it shows."""

    since, step = Words(20), Words(130)


class ScopeForm(SentForm):
    """Tasks that were ticked; `again`: only what they come to is asked for."""

    task, again = Several(), Words()


class ArrivalForm(forms.Form):
    """What is known when an engine comes in."""

    owner_says = forms.CharField(
        label="Owner says", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    condition = forms.CharField(
        label="Condition", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    came_with = forms.CharField(label="Came with", required=False, max_length=500)
    promised_on = Day(label="Promised for", required=False)
