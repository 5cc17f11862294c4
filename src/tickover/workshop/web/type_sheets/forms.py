"""Forms of the pages of type sheets, all but that of a row, which is made from its schema."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict

from tickover.workshop.web.type_sheets.row_form import Text
from tickover.workshop.web.typed_fields import SentForm, Words


class NewTypeForm(forms.Form):
    """What a new type is called, and what is said wherever its figures are shown."""

    title = Text(label="Name of the type", max_length=60, help_text="Name and size, as used in the workshop.")

    def refuse(self, wrong: Iterable[tuple[str, str]]) -> None:
        for _, message in wrong:
            self.add_error(None, message)


class KeepReasonForm(forms.Form):
    reason = Text(label="Why", max_length=300, help_text="Such as: maker’s manual, issue 4, page 12.")


class ImportForm(forms.Form):
    """A sheet as a file or as text."""

    file = forms.FileField(label="A .toml file", required=False)
    text = forms.CharField(
        label="or its text",
        required=False,
        strip=False,
        widget=forms.Textarea({"rows": 8, "spellcheck": "false"}),
    )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        upload = given.get("file")
        if upload:
            try:
                given["text"] = upload.read().decode("utf-8-sig")
            except UnicodeDecodeError as error:
                raise forms.ValidationError("This file is no text in UTF-8. Nothing was taken.") from error
        if not given.get("text", "").strip():
            raise forms.ValidationError("Choose a file or paste its text.")
        given["text"] = given["text"].replace("\r\n", "\n")
        return given


class SheetPartForm(SentForm):
    """Which table of a sheet is shown, and what is searched for in it."""

    what, q, system = Words(), Words(), Words()


class SheetVersionForm(SentForm):
    """One version of a sheet, by its fingerprint."""

    version = Words()


class MovedRowForm(SentForm):
    """Which way a step is moved, and the mark of a row as it was when its page was opened."""

    way, mark = Words(), Words()


class CopyForm(SentForm):
    copy = Words()


def two_versions(data: QueryDict) -> tuple[str, str]:
    """The fingerprints of the older and of the newer version that are compared."""
    return data.get("from", ""), data.get("to", "")
