"""The sign-in form."""

from django import forms

from tickover.workshop.web.typed_fields import SentForm, Words


class SignInForm(forms.Form):
    username = forms.CharField(label="Name", max_length=150)
    password = forms.CharField(label="Password", widget=forms.PasswordInput)


class ChangePersonForm(SentForm):
    """Another person of the demo, and the page to go on with."""

    username, next = Words(), Words()
