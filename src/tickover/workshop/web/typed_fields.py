"""Form fields for what people type: a number with a comma or a point, a day, words; and forms of a single button."""

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
    """A number as it is typed, with a comma or a point; None where nothing is.

    `whole`: no fraction has a meaning. `ratio`: so many to one. `least` and `most` may be typed, nothing beyond them.
    """

    def __init__(
        self,
        unit: str = "",
        *,
        whole: bool = False,
        ratio: bool = False,
        least: float | None = None,
        most: float | None = None,
        **more: Any,
    ) -> None:
        self.unit, self.whole, self.ratio, self.least, self.most = unit, whole, ratio, least, most
        attrs = {"inputmode": "numeric" if whole else "decimal", "autocomplete": "off"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs), **more)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        name = str(self.label or "The number")
        try:
            number = read_number(text, unit=self.unit, ratio=self.ratio, name=name)
        except NumberError as error:
            raise NumberRefusedError(error) from error
        if self.whole and not number.is_integer():
            raise forms.ValidationError(f"{name}: {number:g} is no whole number.")
        if self.least is not None and number < self.least:
            raise forms.ValidationError(f"{name} must be {self.least:g} or more.")
        if self.most is not None and number > self.most:
            raise forms.ValidationError(f"{name} must be {self.most:g} or less.")
        return int(number) if self.whole else number

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.10g}" if isinstance(value, int | float) else value


class Day(forms.DateField):
    def __init__(self, **more: Any) -> None:
        super().__init__(widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"), **more)


class Words(forms.CharField):
    """Words that may be blank; those beyond `most` are cut. What may not be blank is refused by the action."""

    def __init__(self, most: int = 10_000, **more: Any) -> None:
        self.most = most
        super().__init__(required=False, **more)

    def clean(self, value: Any) -> str:
        return str(super().clean(value))[: self.most]


class Several(forms.Field):
    """What was ticked under one name; which of it there is, the action knows."""

    widget = forms.SelectMultiple

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, **more)

    def clean(self, value: Any) -> list[str]:
        return [str(one) for one in value or ()]


class SentForm(forms.Form):
    """The few fields of a button or of an address. Each may be left out; who takes them says what is wrong."""

    def sent(self) -> dict[str, Any]:
        """Every field by its name, as it came; blank where it did not, or cannot be."""
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}
