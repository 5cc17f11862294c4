"""The sign-in form."""

from django import forms


class SignInForm(forms.Form):
    username = forms.CharField(label="Name", max_length=150)
    password = forms.CharField(label="Password", widget=forms.PasswordInput)
