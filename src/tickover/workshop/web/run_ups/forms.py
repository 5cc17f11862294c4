"""Forms of run-ups and of the tuning card."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils import timezone

from tickover.formats.logger.choice import DEGREES, TIME_UNITS, ColumnChoice, LoggerPreview
from tickover.science.atmosphere.altitudes import qfe_pa
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fuel_system.fuels import FUELS
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups.actions import Circumstances, NewNeedles
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits.models import Job
from tickover.workshop.web.engines.forms import RemarkForm
from tickover.workshop.web.typed_fields import Day, NumberField, SentForm, Words

FUEL_CHOICES = [("", "not recorded"), *((id, fuel.name) for id, fuel in FUELS.items())]
BEFORE_OR_AFTER = [("", "of no visit"), *RunUp.BeforeOrAfter.choices[1:]]
WORDS = {"s": "seconds", "ms": "milliseconds", "min": "minutes", "clock": "hh:mm:ss or moments"}


class JobChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # generic in its stubs only
    def label_from_instance(self, obj: Job) -> str:
        return f"{obj.number}, {obj.task_id.replace('-', ' ')}"


class AirForm(forms.Form):
    """The air and the fuel of the day, and where the needles stand."""

    air_c = NumberField("deg C", label="Air temperature, °C", required=False, help_text="In the shade.")
    pressure_hpa = NumberField(
        "hPa",
        label="Pressure, hPa",
        required=False,
        help_text="At the field (QFE); or the QNH, with the elevation.",
    )
    elevation_m = NumberField(
        "m", label="Elevation of the field, m", required=False, help_text="Only with a QNH."
    )
    fuel = forms.ChoiceField(label="Fuel", choices=FUEL_CHOICES, required=False)
    petrol_to_oil = NumberField(
        "", label="Petrol to one of oil", required=False, help_text="50 means 50 to 1."
    )
    turns_low = NumberField("turns", label="Low needle, turns out", required=False)
    turns_high = NumberField("turns", label="High needle, turns out", required=False)

    def clean(self) -> dict[str, Any]:
        """A QNH becomes the pressure at the field."""
        given = super().clean() or self.cleaned_data
        elevation, pressure = given.pop("elevation_m", None), given.get("pressure_hpa")
        if elevation is not None and pressure is not None:
            try:
                given["pressure_hpa"] = round(float(qfe_pa(pressure * 100.0, elevation)) / 100.0, 1)
            except OutOfRangeError as error:
                self.add_error("pressure_hpa", f"{error}.")
        return given


class RunForm(AirForm):
    """A run-up's file and what is noted beside it."""

    run_file = forms.FileField(
        label="The run-up",
        help_text="A logger’s table (.csv), a flight log with an rpm channel (.igc), or a recording of the sound.",
        widget=forms.ClearableFileInput(
            {"accept": ".csv,.tsv,.txt,.igc,.wav,.flac,.ogg,.mp3,.m4a,.opus,audio/*"}
        ),
    )
    on_day = Day(initial=timezone.localdate, label="Day of the run")
    humidity_percent = NumberField("%", label="Relative humidity, %", required=False)
    thrust_kgf = NumberField(
        "kgf", label="Static thrust, kgf", required=False, help_text="Where a load cell was in line."
    )
    job = JobChoice(
        Job.objects.none(), label="Of a visit", required=False, to_field_name="number", empty_label="none"
    )
    before_or_after = forms.ChoiceField(label="Before or after it", choices=BEFORE_OR_AFTER, required=False)
    remark = RemarkForm()
    field_order = ("run_file", "on_day", "air_c", "pressure_hpa", "elevation_m", "humidity_percent", "fuel")

    def __init__(self, engine: Engine, *args: Any, waiting: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        # Not the slice itself: a choice could not be looked up in it.
        newest = Job.objects.filter(engine=engine).order_by("-opened_at").values_list("pk", flat=True)[:50]
        jobs = cast(JobChoice, self.fields["job"])
        jobs.queryset = Job.objects.filter(pk__in=list(newest)).order_by("-opened_at")
        if waiting:
            del self.fields["run_file"]

    @classmethod
    def as_sent(cls, data: QueryDict) -> list[tuple[str, str]]:
        """What was typed in its fields, to be sent again with the columns of the file."""
        return [(k, str(v)) for k, v in data.items() if k in cls.base_fields and k != "run_file"]

    def circumstances(self) -> Circumstances:
        kept = {k: v for k, v in self.cleaned_data.items() if k != "run_file"}
        return Circumstances(**kept)


class ColumnsForm(forms.Form):
    """Which column is which; the choices are the headers of the file at hand."""

    def __init__(self, look: LoggerPreview, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        columns = [(str(c.index), f"{c.index + 1}: {c.header or 'no header'}") for c in look.columns]
        none = [("", "not in the file"), *columns]
        self.fields["time"] = forms.ChoiceField(label="Time", choices=columns)
        self.fields["time_unit"] = forms.ChoiceField(
            label="The time is in", choices=[(unit, WORDS[unit]) for unit in TIME_UNITS]
        )
        self.fields["rpm"] = forms.ChoiceField(label="Engine speed", choices=columns)
        self.fields["rpm_per_count"] = NumberField(
            "",
            label="One of its units is, in rpm of the crank",
            help_text="1 for rpm, 60 for turns a second.",
        )
        self.fields["cht"] = forms.ChoiceField(
            label="Cylinder head temperature", choices=none, required=False
        )
        self.fields["egt"] = forms.ChoiceField(label="Exhaust gas temperature", choices=none, required=False)
        self.fields["degrees"] = forms.ChoiceField(
            label="Temperatures are in", choices=[(d, d.replace("deg ", "°")) for d in DEGREES]
        )

    def choice(self) -> ColumnChoice:
        """Raises FormatError where two columns cannot both be meant."""
        given = self.cleaned_data
        places = {name: int(given[name]) if given[name] else None for name in ("cht", "egt")}
        return ColumnChoice(
            time=int(given["time"]),
            rpm=int(given["rpm"]),
            time_unit=given["time_unit"],
            degrees=given["degrees"],
            rpm_per_count=given["rpm_per_count"],
            **places,
        )


class NeedlesForm(AirForm):
    """Where the needles were set."""

    turns_low = NumberField("turns", label="Low needle, turns out")
    turns_high = NumberField("turns", label="High needle, turns out")
    remark = RemarkForm()
    field_order = ("turns_low", "turns_high")

    def new(self) -> NewNeedles:
        return NewNeedles(**self.cleaned_data)


class WaitingFileForm(SentForm):
    """A file that waits for its columns: its fingerprint and its name."""

    waiting, file_name = Words(), Words(200)


class AcceptForm(SentForm):
    accepted, why = Words(), Words()


class TwoRunsForm(SentForm):
    first, second = Words(), Words()


class ColdestForm(SentForm):
    coldest = Words()


class OfJobForm(SentForm):
    """The job a run-up is of, and whether it is from before or after the work."""

    job, before_or_after = Words(), Words()


def window_sent(data: QueryDict) -> tuple[str, str]:
    """From when to when of the run its strip is asked for, as typed."""
    return data.get("from", ""), data.get("to", "")
