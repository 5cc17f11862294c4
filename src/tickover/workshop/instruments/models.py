"""Instruments and what happened to them. Rows are written once; the newest says how an instrument stands."""

from __future__ import annotations

from django.db import models

from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person

KINDS = (
    "balancer", "belt-meter", "bore-gauge", "calliper", "compression-gauge", "depth-gauge", "dial-gauge",
    "feeler", "load-cell", "magnifier", "marked-driver", "micrometer", "ohmmeter", "pressure-gauge", "rule",
    "scale", "tachometer", "thermocouple", "torque-wrench", "vacuum-gauge", "wire-gauge",
)  # fmt: skip
"""Kinds as a type sheet names them for its limits."""


class Instrument(Recorded):
    """A measuring instrument as it came into the register.

    Range and resolution are in `unit`. Its expanded uncertainty (coverage factor 2) is `expanded_uncertainty`
    [unit] plus `percent` of what is read; a calibration may state both anew. `tool_class`: type and class of a
    torque tool by ISO 6789, such as "II A"; "" where it is not known.
    """

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=30)
    title = models.CharField(max_length=80)
    serial = models.CharField(max_length=60, blank=True)
    unit = models.CharField(max_length=20)
    range_lower = models.FloatField(null=True)
    range_upper = models.FloatField(null=True)
    resolution = models.FloatField()
    expanded_uncertainty = models.FloatField()
    percent = models.FloatField(default=0.0)
    tool_class = models.CharField(max_length=5, default="", blank=True)
    location = models.CharField(max_length=80, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.title}, {self.number}"

    @property
    def kind_in_words(self) -> str:
        return self.kind.replace("-", " ")


class Calibration(Recorded):
    """A calibration: its certificate, what it found the instrument to be good for, and until when.

    Without a due date the instrument needs none again.
    """

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="calibrations")
    on_day = models.DateField()
    due_on = models.DateField(null=True)
    certificate = models.CharField(max_length=80)
    expanded_uncertainty = models.FloatField()
    percent = models.FloatField(default=0.0)
    tool_class = models.CharField(max_length=5, default="", blank=True)
    remark = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class InstrumentLocation(Recorded):
    """An instrument withdrawn, taken back into use, or moved to another place."""

    class State(models.TextChoices):
        IN_USE = "in use"
        WITHDRAWN = "withdrawn"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="locations")
    state = models.CharField(max_length=15, choices=State)
    location = models.CharField(max_length=80, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    recorded_as = "instruments.Placing"

    class Meta:
        db_table = "instruments_placing"
