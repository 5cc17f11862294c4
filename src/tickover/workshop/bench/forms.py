"""Forms of the bench. A reading is kept as it was typed; what it means is decided by the action."""

from django import forms


class ReadingForm(forms.Form):
    typed = forms.CharField(
        max_length=40, widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    )
    confirmed = forms.BooleanField(required=False)


class DoneForm(forms.Form):
    finding_id = forms.CharField(max_length=60, required=False)
    remark = forms.CharField(max_length=2000, required=False)


class SecondCheckForm(forms.Form):
    """The second person confirms on the same tablet by name and password, or as the one signed in."""

    username = forms.CharField(max_length=150, required=False)
    password = forms.CharField(max_length=200, required=False)
    typed = forms.CharField(max_length=40, required=False)
    confirmed = forms.BooleanField(required=False)


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=500, required=False)


class KitForm(forms.Form):
    lot = forms.CharField(max_length=80, required=False)


class ReleaseForm(forms.Form):
    not_done = forms.CharField(max_length=2000, required=False)
    limitations = forms.CharField(max_length=2000, required=False)
