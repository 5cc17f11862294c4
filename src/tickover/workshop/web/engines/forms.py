"""Forms of the register: hours, meters, components, an overhaul, the edges of a log's runs."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, cast

from django import forms
from django.utils import timezone

from tickover.workshop.components import actions as component_actions
from tickover.workshop.components import queries as components
from tickover.workshop.engine_time import meter_actions, typed_hours
from tickover.workshop.engine_time.actions import TYPED_GRADES, TypedHours
from tickover.workshop.engine_time.edge_actions import Edges, runs_of
from tickover.workshop.register import queries
from tickover.workshop.register.models import Component, Engine, EngineTimeEntry
from tickover.workshop.web.typed_fields import Day, NumberField, SentForm, Words

# Typed, since a browser's own clock field may show twelve hours and no seconds.
CLOCK = {
    "pattern": "[0-2][0-9]:[0-5][0-9]:[0-5][0-9]",
    "placeholder": "HH:MM:SS",
    "maxlength": "8",
    "autocomplete": "off",
}


def _this_minute() -> datetime:
    return timezone.localtime().replace(second=0, microsecond=0)


class Moment(forms.DateTimeField):
    def __init__(self, **more: Any) -> None:
        widget = forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(widget=widget, initial=_this_minute, **more)


class RemarkForm(forms.CharField):
    def __init__(self, label: str = "Remark", **more: Any) -> None:
        super().__init__(label=label, max_length=200, **{"required": False, **more})


class HoursForm(forms.Form):
    hours_h = NumberField("h", label="Hours")
    on_day = Day(initial=timezone.localdate, label="Day")
    grade = forms.ChoiceField(label="Evidence", choices=[(g, g) for g in TYPED_GRADES])
    method = forms.CharField(label="Which log, or who said so", max_length=60)
    sd_h = NumberField(
        "h", label="Standard deviation", required=False, help_text="Empty: usual for this evidence."
    )

    def typed(self) -> TypedHours:
        given = self.cleaned_data
        if given["sd_h"] is None:
            given["sd_h"] = typed_hours.usual_sd_h(given["hours_h"], given["grade"])
        return TypedHours(**given)


class FuelForm(forms.Form):
    litres = NumberField("l", label="Fuel burnt", help_text="Litres, from receipts.")
    litres_per_hour = NumberField("l/h", label="Burnt per hour", help_text="Litres, as this engine is flown.")
    on_day = Day(initial=timezone.localdate, label="Up to")

    def typed(self) -> TypedHours:
        given = self.cleaned_data
        return typed_hours.by_fuel(
            typed_hours.FuelReceipt(given["litres"], given["litres_per_hour"]), given["on_day"]
        )


class MeterForm(forms.Form):
    value_h = NumberField("h", label="Meter reading")
    read_at = Moment(label="Read at")
    meter = forms.CharField(label="Meter", max_length=60, help_text="Its name or number.")
    remark = RemarkForm()

    @property
    def confirmed(self) -> bool:
        """Whether the person has seen what is unusual about it, and keeps to it."""
        return "confirmed" in self.data

    def reading(self) -> meter_actions.TypedMeterReading:
        return meter_actions.TypedMeterReading(**self.cleaned_data)


class ReplaceMeterForm(MeterForm):
    old_last_h = NumberField("h", label="Last reading of the old meter")
    field_order = ("old_last_h", "meter", "value_h", "read_at", "remark")

    def reading(self) -> meter_actions.TypedMeterReading:
        kept = {k: v for k, v in self.cleaned_data.items() if k != "old_last_h"}
        return meter_actions.TypedMeterReading(**kept)


class NewComponentForm(forms.Form):
    kind = forms.ChoiceField(label="Kind", choices=[(k, k) for k in Component.Kind.values])
    title = forms.CharField(label="Name", max_length=80)
    serial = forms.CharField(label="Serial", max_length=40)
    initial_h = NumberField("h", label="Hours so far")
    initial_sd_h = NumberField("h", label="Their standard deviation", required=False)
    when = Moment(label="Fitted at")

    def new(self) -> component_actions.NewComponent:
        kept = self.cleaned_data
        return component_actions.NewComponent(
            kept["kind"], kept["title"], kept["serial"], kept["initial_h"], kept["initial_sd_h"] or 0.0
        )


class WhenForm(forms.Form):
    when = Moment(label="At")
    remark = RemarkForm()


class FitForm(WhenForm):
    component = forms.ModelChoiceField(Component.objects.none(), label="Component")
    field_order = ("component", "when", "remark")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        choice = cast("forms.ModelChoiceField[Component]", self.fields["component"])
        choice.queryset = components.free_components()


class EngineChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # generic in its stubs only
    def label_from_instance(self, obj: Engine) -> str:
        return f"{obj.name}, serial {obj.serial}"


class SwapForm(WhenForm):
    kind = forms.ChoiceField(label="What", choices=[(k, k) for k in Component.Kind.values])
    other = EngineChoice(Engine.objects.none(), label="With", to_field_name="serial")
    field_order = ("kind", "other", "when", "remark")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        cast(EngineChoice, self.fields["other"]).queryset = queries.engines()


class OverhaulForm(forms.Form):
    on_day = Day(initial=timezone.localdate, label="Overhauled on")
    remark = RemarkForm("By whom, what was done")


class EdgesForm(forms.Form):
    """A row for each run and one to spare, by the log's clock; an empty row is no run."""

    reason = forms.CharField(label="How you know", max_length=500, required=False)

    def __init__(self, entry: EngineTimeEntry, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        assert entry.started_at is not None
        self.log_start = entry.started_at
        runs = runs_of(entry)
        self.rows = len(runs) + 1
        for n in range(self.rows):
            run = runs[n] if n < len(runs) else (None, None)
            for name, edge, moment in (("start", "From", run[0]), ("end", "To", run[1])):
                self.fields[f"{name}_{n}"] = forms.TimeField(
                    label=f"{edge}, run {n + 1}" if moment else f"{edge}, one more run",
                    required=False,
                    initial=f"{moment:%H:%M:%S}" if moment else "",
                    widget=forms.TextInput(CLOCK),
                )

    @property
    def pairs(self) -> list[tuple[Any, Any]]:
        return [(self[f"start_{n}"], self[f"end_{n}"]) for n in range(self.rows)]

    def runs(self) -> list[Edges]:
        """The runs as moments. Raises ValidationError where one has only one edge."""
        found = []
        for n in range(self.rows):
            start, end = self.cleaned_data[f"start_{n}"], self.cleaned_data[f"end_{n}"]
            if (start is None) != (end is None):
                raise forms.ValidationError(
                    f"Run {n + 1} has only a start or an end. Give both or none. Nothing was changed."
                )
            if start is not None:
                found.append((self._moment(start), self._moment(end)))
        return found

    def _moment(self, clock: Any) -> datetime:
        """The first time after the log's start that a clock shows this."""
        start = self.log_start.replace(microsecond=0)
        moment = datetime.combine(start.date(), clock, start.tzinfo)
        return moment if moment >= start else moment + timedelta(days=1)


class TakeBackReasonForm(SentForm):
    reason = Words(500)


class EngineListForm(SentForm):
    """What is searched for, and the order."""

    q, sort = Words(), Words()


class CopiesForm(SentForm):
    copies = Words()
