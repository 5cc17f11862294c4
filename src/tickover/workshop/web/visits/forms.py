"""Forms of the bench, all but that of a reading, which is made for its limit."""

from django import forms


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
