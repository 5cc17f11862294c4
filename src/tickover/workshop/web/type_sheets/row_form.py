"""Forms made from the schema of a type sheet: a field for each key, in words, with its help."""

from __future__ import annotations

from collections.abc import Iterable
from types import NoneType
from typing import Any, Literal, get_args, get_origin

from django import forms
from pydantic import BaseModel

from tickover.formats.text.number import AmbiguousNumber, Choice, NumberError
from tickover.workshop.knowledge.condition_lines import condition_in_words, read_condition
from tickover.workshop.knowledge.tables import MODELS, Place, Table, rows_of
from tickover.workshop.knowledge.words import CHOICES, TRAITS, help_of, label_of
from tickover.workshop.web.typed_fields import NumberField, NumberRefusedError

LEFT_ALONE = ("id", "findings", "fitted", "propeller")
LONG = (
    "how",
    "caution",
    "note",
    "action_outside",
    "low_means",
    "high_means",
    "recognise",
    "record",
    "notice",
)
NAMED_IN = {"card": "cards", "reading": "limits", "joint": "joints", "kit": "kits", "access": "access",
            "fits": "parts", "discards": "parts", "begins_again": "programme",
            "contains": "programme"}  # fmt: skip
TEXT_MAX = 2000
RATIOS = ("gear_ratio", "petrol_to_oil")


class Text(forms.CharField):
    """Text as the sheet keeps it: line ends of one kind."""

    def clean(self, value: Any) -> Any:
        return super().clean(value).replace("\r\n", "\n").replace("\r", "\n").strip()


class LinesField(Text):
    """A list, one on each line."""

    def __init__(self, **more: Any) -> None:
        super().__init__(widget=forms.Textarea({"rows": 3}), max_length=TEXT_MAX, **more)

    def clean(self, value: Any) -> Any:
        return [line.strip() for line in super().clean(value).split("\n") if line.strip()]

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list | tuple) else value


class ConditionsField(LinesField):
    """Conditions of a test, one on each line: "minutes: at least 3 (Time at full throttle)"."""

    def clean(self, value: Any) -> Any:
        lines = super().clean(value)
        return [self._read(lines, at) for at in range(len(lines))]

    @staticmethod
    def _read(lines: list[str], at: int) -> Table:
        """One of the lines; what it may mean is offered within all of them."""
        try:
            return read_condition(lines[at])
        except NumberError as error:
            typed = error.typed.lstrip("-") if isinstance(error, AmbiguousNumber) else ""
            meant = ((c, lines[at].replace(typed, c.text.lstrip("-"), 1)) for c in error.choices)
            whole = tuple(
                Choice("\n".join([*lines[:at], one, *lines[at + 1 :]]), c.words) for c, one in meant
            )
            raise NumberRefusedError(NumberError(str(error), whole)) from error

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list | tuple):
            return "\n".join(condition_in_words(one) for one in value)
        return value


class RowForm(forms.Form):
    """The fields of one row. `row()` is the row as it would stand in the sheet."""

    def __init__(
        self, place: Place, data: Table, posted: Any = None, row: Table | None = None, **more: Any
    ) -> None:
        self.model, self.old = MODELS[place.table], row or {}
        super().__init__(posted, initial=_initial(self.model, self.old), **more)
        for key in _keys(self.model):
            self.fields[key] = _field(place, key, self.model, data, self.old)

    def row(self) -> Table:
        """What was left alone stays; what is empty is left out, so that the sheet's own default holds."""
        kept = {key: value for key, value in self.old.items() if key in LEFT_ALONE}
        given = {key: value for key, value in self.cleaned_data.items() if not _is_empty(value)}
        return {**kept, **{key: v for key, v in given.items() if not self._is_default(key, v)}}

    def _is_default(self, key: str, value: Any) -> bool:
        default = self.model.model_fields[key].get_default(call_default_factory=True)
        return key not in self.old and not self.model.model_fields[key].is_required() and value == default

    def refuse(self, wrong: Iterable[tuple[str, str]]) -> None:
        """Put what the schema said beside the field it belongs to."""
        for key, message in wrong:
            sentence = f"{message[:1].upper()}{message[1:]}."
            self.add_error(key if key in self.fields else None, sentence)


def _keys(model: type[BaseModel]) -> list[str]:
    return [key for key in model.model_fields if key not in LEFT_ALONE]


def _initial(model: type[BaseModel], row: Table) -> Table:
    fields = model.model_fields
    defaults = {
        k: fields[k].get_default(call_default_factory=True)
        for k in _keys(model)
        if not fields[k].is_required()
    }
    return defaults | row


def _is_empty(value: Any) -> bool:
    return value is None or value == "" or value == []


def _field(place: Place, key: str, model: type[BaseModel], data: Table, row: Table) -> forms.Field:
    info, table = model.model_fields[key], place.table
    kinds = _kinds(info.annotation)
    more: dict[str, Any] = {
        "label": label_of(table, key),
        "help_text": help_of(table, key),
        "required": info.is_required() and bool not in kinds,
    }
    if key == "builds":
        return _ticks(_builds(data), row.get(key, ()), more)
    if key == "traits":
        return _ticks(list(TRAITS.items()), row.get(key, ()), more)
    if key == "conditions":
        return ConditionsField(**more)
    if key == "hold_before":
        return _ticks(_later_steps(place, data, row), row.get(key, ()), more)
    if key == "only_on":
        return _ticks(_earlier_findings(place, data, row), row.get(key, ()), more)
    if key == "does":
        acts = [(one["id"], one["id"].replace("-", " ")) for one in data.get("acts", ())]
        return forms.ChoiceField(choices=[("", "none"), *acts], **more)
    if key in NAMED_IN:
        named = [(one["id"], one.get("title", one["id"])) for one in data.get(NAMED_IN[key], ())]
        if tuple in kinds:
            return _ticks(named, row.get(key, ()), more)
        return forms.ChoiceField(choices=[("", "none"), *named], **more)
    return _plain(key, kinds, info.annotation, _unit(row, key), more)


def _plain(key: str, kinds: set[Any], annotation: Any, unit: str, more: dict[str, Any]) -> forms.Field:
    if words := _literals(annotation):
        if not more["required"] and "" not in words:
            words = ["", *words] if NoneType in kinds else words
        return forms.ChoiceField(choices=[(w, CHOICES.get(w, w.replace("-", " "))) for w in words], **more)
    if bool in kinds:
        return forms.BooleanField(**more)
    if kinds & {int, float}:
        return NumberField(unit, whole=float not in kinds, ratio=key in RATIOS, **more)
    if tuple in kinds:
        return LinesField(**more)
    if key in LONG:
        return Text(widget=forms.Textarea({"rows": 2}), max_length=TEXT_MAX, **more)
    return Text(max_length=300, **more)


def _unit(row: Table, key: str) -> str:
    """The unit that may stand behind a typed number."""
    by_end = {"_h": "h", "_mm": "mm", "_rpm": "r/min", "_cm3": "cm³", "_m": "m", "_n": "N"}
    if key in ("nominal", "lower", "upper", "never_below", "never_above", "plausible_lower", "plausible_upper",
               "resolution", "spread_max", "expanded_uncertainty"):  # fmt: skip
        return str(row.get("unit", "")).replace("N.m", "N·m").replace("deg C", "°C")
    return next((unit for end, unit in by_end.items() if key.endswith(end)), "")


def _ticks(choices: list[tuple[str, str]], now: Iterable[str], more: dict[str, Any]) -> forms.Field:
    """Ticks; a name the row has that is in no list stays, to be unticked."""
    known = dict(choices)
    extra = [(name, name.replace("-", " ")) for name in now if name not in known]
    return forms.MultipleChoiceField(
        choices=[*choices, *extra], widget=forms.CheckboxSelectMultiple, **{**more, "required": False}
    )


def _builds(data: Table) -> list[tuple[str, str]]:
    builds = [(build["id"], build["title"]) for build in data["builds"]]
    traits = dict.fromkeys(trait for build in data["builds"] for trait in build.get("traits", ()))
    return builds + [(name, f"{TRAITS.get(name, name.replace('-', ' '))} (feature)") for name in traits]


def _later_steps(place: Place, data: Table, row: Table) -> list[tuple[str, str]]:
    """The steps of a card after one of them; none after a new one, which goes to the end."""
    steps = rows_of(data, place)
    ids = [step["id"] for step in steps]
    after = ids.index(row["id"]) + 1 if row.get("id") in ids else len(ids)
    return [(step["id"], f"{n}. {step['act']}") for n, step in enumerate(steps, 1) if n > after]


def _earlier_findings(place: Place, data: Table, row: Table) -> list[tuple[str, str]]:
    """What may be found at the steps of a card before one of them; before a new one, at all of them."""
    found = []
    for n, step in enumerate(rows_of(data, place), 1):
        if step["id"] == row.get("id"):
            break
        for finding in step.get("findings", ()):
            found.append((f"{step['id']}.{finding['id']}", f"{n}. {finding['title']}"))
    return found


def _kinds(annotation: Any) -> set[Any]:
    """The plain kinds a key may hold, without what narrows them."""
    origin = get_origin(annotation)
    if origin is tuple:
        return {tuple}
    if origin is Literal:
        return {str}
    if origin is None:
        return {annotation}
    parts = get_args(annotation)
    inside = parts[:1] if hasattr(annotation, "__metadata__") else parts
    return set().union(*(_kinds(part) for part in inside))


def _literals(annotation: Any) -> list[str]:
    if get_origin(annotation) is Literal:
        return [str(word) for word in get_args(annotation)]
    return next((found for part in get_args(annotation) if (found := _literals(part))), [])
