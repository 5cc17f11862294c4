"""The form of an engine that comes into the workshop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils import timezone

from tickover.sheets import Build, TypeSheet
from tickover.workshop.components.actions import NewComponent
from tickover.workshop.drawings.build_look import build_look
from tickover.workshop.register.models import Component
from tickover.workshop.takeover.actions import (
    METER,
    SOURCE_MAX,
    ComingEngine,
    HoursNow,
    OverhauledBefore,
)
from tickover.workshop.web.type_sheets.shown import serials
from tickover.workshop.web.typed_fields import Day, NumberField, SentForm, Words

PARTS = 4
GRADES = (
    ("log entry", "Logbook"),
    (METER, "Engine meter"),
    ("owner's word", "Owner’s word"),
    ("estimate", "Estimate"),
)
NO_KIND = [("", "None")]


class KnownAlreadyForm(SentForm):
    """Owner or type of the engine, where a page of theirs leads here."""

    owner, type = Words(120), Words(60)


@dataclass(frozen=True)
class BuildChoice:
    """A build to choose by its look: how it is recognised, in words and as a sketch."""

    value: str
    title: str
    recognise: str
    sketch: str
    chosen: bool


@dataclass(frozen=True)
class TypeChoice:
    """A type to choose, and its builds."""

    value: str
    title: str
    chosen: bool
    builds: tuple[BuildChoice, ...]


class ComingEngineForm(forms.Form):
    """Serial, type, owner, hours now, and what is known of overhaul and parts."""

    serial = forms.SlugField(
        label="Serial number",
        max_length=40,
        error_messages={"invalid": "Use letters, digits and hyphens only."},
    )
    name = forms.CharField(label="Name", max_length=60, required=False)
    type = forms.CharField(error_messages={"required": "Choose the engine type."})
    rebuilt = forms.BooleanField(label="It was rebuilt: keep the build chosen", required=False)
    owner = forms.CharField(
        label="Owner", max_length=120, widget=forms.TextInput({"list": "owners", "autocomplete": "off"})
    )
    hours_h = NumberField("h", label="Hours now", least=0.0)
    read_on = Day(label="Read on", initial=timezone.localdate)
    grade = forms.ChoiceField(label="Evidence", choices=GRADES)
    source = forms.CharField(
        label="Where it is written",
        max_length=SOURCE_MAX,
        required=False,
        help_text="Such as: logbook 1, page 34. New engine: leave empty.",
    )
    since_overhaul_h = NumberField("h", label="Hours since overhaul", required=False, least=0.0)
    overhauled_on = Day(label="Overhauled on", required=False)

    def __init__(self, sheets: Iterable[TypeSheet], *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self.sheets = {sheet.id: sheet for sheet in sheets}
        for n in range(PARTS):
            kinds = [*NO_KIND, *((k, k.capitalize()) for k in Component.Kind.values)]
            self.fields[f"part_{n}"] = forms.ChoiceField(label="Part", choices=kinds, required=False)
            self.fields[f"part_name_{n}"] = forms.CharField(label="Name", max_length=80, required=False)
            self.fields[f"part_serial_{n}"] = forms.CharField(label="Serial", max_length=40, required=False)
            self.fields[f"part_h_{n}"] = NumberField("h", label="Hours", required=False, least=0.0)

    @property
    def types(self) -> list[TypeChoice]:
        only = next(iter(self.sheets)) if len(self.sheets) == 1 else ""
        chosen = str(self["type"].value() or only)
        return [
            TypeChoice(
                sheet.id,
                sheet.title,
                chosen.partition("/")[0] == sheet.id and "/" not in chosen,
                tuple(_build_choice(sheet, build, chosen) for build in sheet.builds),
            )
            for sheet in self.sheets.values()
        ]

    @property
    def build_shown(self) -> bool:
        """Whether the builds are open to be chosen: one of them is, or the serial says none."""
        chosen = any(build.chosen for t in self.types for build in t.builds)
        return chosen or (self.is_bound and "type" in self.errors and bool(self["type"].value()))

    @property
    def parts(self) -> list[list[Any]]:
        return [[self[f"part_{name}{n}"] for name in ("", "name_", "serial_", "h_")] for n in range(PARTS)]

    @property
    def parts_typed(self) -> bool:
        return any(bound.value() or bound.errors for row in self.parts for bound in row)

    @property
    def overhaul_typed(self) -> bool:
        names = ("since_overhaul_h", "overhauled_on")
        return any(self[name].value() or self[name].errors for name in names)

    def clean_type(self) -> str:
        chosen = str(self.cleaned_data["type"])
        if chosen not in {v for t in self.types for v in (t.value, *(b.value for b in t.builds))}:
            raise forms.ValidationError("Choose the engine type.")
        return chosen

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if "since_overhaul_h" in given and "overhauled_on" in given:
            missing = [n for n in ("since_overhaul_h", "overhauled_on") if given[n] is None]
            if len(missing) == 1:
                self.add_error(missing[0], "Give both hours since overhaul and its day, or neither.")
        for n in range(PARTS):
            names = (f"part_{n}", f"part_serial_{n}", f"part_h_{n}")
            empty = [name for name in names if given.get(name) in (None, "") and name not in self.errors]
            if 0 < len(empty) < len(names):
                self.add_error(empty[0], "Give part, serial and hours, or none of them.")
        return given

    def coming(self) -> ComingEngine:
        """The engine as it was typed."""
        given = self.cleaned_data
        sheet_id, _, build_id = given["type"].partition("/")
        since = given["since_overhaul_h"]
        return ComingEngine(
            serial=given["serial"],
            sheet_id=sheet_id,
            owner=given["owner"].strip(),
            hours=HoursNow(given["hours_h"], given["read_on"], given["grade"], given["source"].strip()),
            name=given["name"].strip(),
            build_id=build_id,
            rebuilt=given["rebuilt"],
            overhaul=None if since is None else OverhauledBefore(since, given["overhauled_on"]),
            components=tuple(self._part(n) for n in range(PARTS) if given[f"part_{n}"]),
        )

    def _part(self, n: int) -> NewComponent:
        kind, given = self.cleaned_data[f"part_{n}"], self.cleaned_data
        title = given[f"part_name_{n}"].strip() or kind.capitalize()
        return NewComponent(kind, title, given[f"part_serial_{n}"], given[f"part_h_{n}"])


def _build_choice(sheet: TypeSheet, build: Build, chosen: str) -> BuildChoice:
    value, title = f"{sheet.id}/{build.id}", f"{build.title}{serials(build)}"
    sketch = build_look(build.title, [*build.traits, build.id])
    return BuildChoice(value, title, build.recognise, sketch, value == chosen)
