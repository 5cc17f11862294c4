"""A reading with its limit: what it comes to is worked out again from what was typed whenever it is looked at."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from django.utils.timezone import localdate

from tickover.formats.amount import in_both
from tickover.science.core.decimals import format_reading
from tickover.science.core.working import Working
from tickover.science.fasteners.set_torque import Conformity
from tickover.science.measurement.conformity import Verdict
from tickover.sheets import LimitRow
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TYPED
from tickover.workshop.readings.measuring import Measured, fields_for, measure
from tickover.workshop.visits.models import Reading
from tickover.workshop.visits.steps.never import Never
from tickover.workshop.visits.steps.torque_setting import as_set


@dataclass(frozen=True)
class ReadingLine:
    """A reading with its limit; what it comes to is worked out again when it is asked for."""

    reading: Reading
    site: MeasurementContext
    never: Never = field(default_factory=Never)

    @property
    def limit(self) -> LimitRow:
        return self.site.limit

    @property
    def gauge(self) -> Gauge | None:
        """The instrument it was read with, as that stood then."""
        return Gauge.kept(self.reading.gauge)

    @property
    def amounts(self) -> dict[str, float]:
        """The numbers it was taken from, by the names of their fields."""
        return {i["name"]: i["value"] for i in self.reading.inputs} or {TYPED: self.reading.value}

    @cached_property
    def measured(self) -> Measured:
        measured = measure(self.site, self.amounts, self.gauge)
        if not self.reading.torque_set:
            return measured
        day = localdate(self.reading.at)
        return as_set(measured, self.limit, self.never, self.amounts, self.gauge, day)

    @property
    def decided(self) -> str:
        """The verdict in words; of a torque that was set, its conformity."""
        return self.measured.words

    @property
    def verdict(self) -> Verdict:
        return self.measured.verdict

    @property
    def sentence(self) -> str:
        return self.measured.sentence(self.limit)

    @property
    def workings(self) -> tuple[Working, ...]:
        return self.measured.workings

    @property
    def shown(self) -> str:
        """The value, never rounded to the other side of a limit."""
        limit = self.limit
        return format_reading(self.reading.value, limit.resolution, limit.lower, limit.upper)

    @property
    def typed(self) -> str:
        """As it was typed, with its unit where that is not the sheet's."""
        unit = self.reading.typed_unit
        return f"{self.reading.typed} {unit}" if unit not in ("", self.limit.unit) else self.reading.typed

    @property
    def in_both_units(self) -> str:
        """Each number that was typed in another unit than the sheet's, and what it is in that; "" for none."""
        typed = [(i["typed"], i["unit"], i["value"]) for i in self.reading.inputs if i["unit"]]
        typed = typed or [(self.reading.typed, self.reading.typed_unit, self.reading.value)]
        asked = [a.unit for a in fields_for(self.site) if a.name in self.amounts]
        return "; ".join(
            in_both(text, typed_in, value, unit)
            for (text, typed_in, value), unit in zip(typed, asked, strict=True)
            if typed_in not in ("", unit)
        )

    @property
    def uncalibrated(self) -> str:
        """What was wrong with the instrument's calibration; "" if nothing was."""
        return self.gauge.uncalibrated(localdate(self.reading.at)) if self.gauge else ""

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is to be known about the instrument of this reading, each as a sentence."""
        set_to = self.measured.set_to
        unknown = (set_to.why_not,) if set_to and set_to.conformity is Conformity.WRENCH_NOT_KNOWN else ()
        if self.gauge is None:
            return unknown
        asks = {a.name: a for a in fields_for(self.site) if a.gauged}
        read = {n: x for n, x in self.amounts.items() if n in asks}
        beyond = (self.gauge.out_of_range(x, asks[n].unit) for n, x in read.items())
        return tuple(dict.fromkeys(d for d in (*unknown, self.uncalibrated, *beyond) if d))
