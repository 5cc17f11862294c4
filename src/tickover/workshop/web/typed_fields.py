"""Form fields for what people type: a number with a comma or a point, and a day."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.formats.text.number import NumberError, read_number


class NumberRefusedError(forms.ValidationError):
    """A typed number that cannot be read; `choices` are what it may mean, which its field offers as buttons."""

    def __init__(self, error: NumberError) -> None:
        super().__init__(str(error))
        self.choices = error.choices


class NumberField(forms.CharField):
    """A number as it is typed, with a comma or a point; None where nothing is."""

    def __init__(self, unit: str = "", **more: Any) -> None:
        self.unit = unit
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(max_length=20, widget=forms.TextInput(attrs), **more)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_number(text, unit=self.unit, name=str(self.label or "The number"))
        except NumberError as error:
            raise NumberRefusedError(error) from error


class Day(forms.DateField):
    def __init__(self, **more: Any) -> None:
        super().__init__(widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"), **more)
