"""Reads of the instrument register: how each instrument stands, and which may be offered for a reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import OuterRef, QuerySet, Subquery

from tickover.formats.text import units
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.instruments.models import Calibration, Instrument, InstrumentLocation

__all__ = [
    "Gauge",
    "InstrumentLine",
    "gauge_of",
    "instrument_by_number",
    "line_of",
    "lines",
    "offered",
    "reads",
]

SOON_DAYS = 30
SORTS = ("due", "number", "kind")


@dataclass(frozen=True)
class InstrumentLine:
    """An instrument with its newest calibration and its newest location."""

    instrument: Instrument
    calibration: Calibration | None
    placed: InstrumentLocation | None

    @property
    def withdrawn(self) -> bool:
        return self.placed is not None and self.placed.state == InstrumentLocation.State.WITHDRAWN

    @property
    def location(self) -> str:
        return self.placed.location if self.placed else self.instrument.location

    @property
    def due_on(self) -> date | None:
        return self.calibration.due_on if self.calibration else None

    @property
    def stated(self) -> Calibration | Instrument:
        """Where its uncertainty is stated: by the newest calibration, else as it came."""
        return self.calibration or self.instrument

    @property
    def gauge(self) -> Gauge:
        """What a reading taken with it keeps."""
        own = self.instrument
        return Gauge(
            number=own.number,
            title=own.title,
            unit=own.unit,
            resolution=own.resolution,
            fixed=self.stated.expanded_uncertainty,
            percent=self.stated.percent,
            lower=own.range_lower,
            upper=own.range_upper,
            calibrated=self.calibration is not None,
            due_on=self.due_on.isoformat() if self.due_on else "",
            certificate=self.calibration.certificate if self.calibration else "",
            tool_class=self.stated.tool_class,
        )

    def calibration_state(self, today: date) -> str:
        """How it stands on a day, in words."""
        if self.withdrawn:
            return "withdrawn"
        if self.calibration is None:
            return "no calibration recorded"
        if self.due_on is None:
            return "calibrated, no due date"
        days = (self.due_on - today).days
        if days < 0:
            return f"out of calibration for {-days} day{'s' * (days != -1)}"
        return f"calibrated, due in {days} day{'s' * (days != 1)}"

    def calibration_overdue(self, today: date) -> bool:
        """In use without a calibration that holds on that day."""
        if self.withdrawn:
            return False
        return self.calibration is None or (self.due_on is not None and self.due_on < today)

    def wants_a_hand(self, today: date) -> bool:
        """In use, and out of calibration or soon to be."""
        if self.withdrawn:
            return False
        return self.calibration is None or (
            self.due_on is not None and (self.due_on - today).days <= SOON_DAYS
        )


def lines(*, sort: str = "due", kind: str = "") -> list[InstrumentLine]:
    """Every instrument, by default the one whose calibration is due first on top, the withdrawn last."""
    rows = _instruments().filter(kind=kind) if kind else _instruments()
    found = _lines(rows)
    if sort in ("number", "kind"):
        return sorted(found, key=lambda line: (getattr(line.instrument, sort), line.instrument.number))
    return sorted(found, key=_urgency)


def offered(kind: str, unit: str = "") -> list[InstrumentLine]:
    """Instruments of a kind that are in use and, where a unit is named, read the same quantity."""
    return [
        line
        for line in lines(sort="number", kind=kind)
        if not line.withdrawn and (not unit or units.convertible(line.instrument.unit, unit))
    ]


def instrument_by_number(number: str) -> Instrument | None:
    return Instrument.objects.select_related("by").filter(number=number).first()


def line_of(instrument: Instrument) -> InstrumentLine:
    return _lines(_instruments().filter(pk=instrument.pk))[0]


def gauge_of(number: str) -> tuple[Instrument, Gauge] | None:
    """An instrument in use and how it stands now; None where no such instrument is in use."""
    found = _lines(_instruments().filter(number=number))
    return (found[0].instrument, found[0].gauge) if found and not found[0].withdrawn else None


def reads(instrument: Instrument, unit: str) -> bool:
    """Whether it shows the quantity that a unit measures."""
    return units.convertible(instrument.unit, unit)


def history(instrument: Instrument) -> list[Calibration | InstrumentLocation]:
    """All that happened to it, newest first."""
    rows: list[Calibration | InstrumentLocation] = [
        *instrument.calibrations.select_related("by"),
        *instrument.locations.select_related("by"),
    ]
    return sorted(rows, key=lambda row: -row.entry_sequence)


def _urgency(line: InstrumentLine) -> tuple[bool, bool, date, str]:
    endless = line.calibration is not None and line.due_on is None
    return line.withdrawn, endless, line.due_on or date.min, line.instrument.number


def _instruments() -> QuerySet[Instrument]:
    """Each with the keys of its newest calibration and location."""
    return Instrument.objects.annotate(
        calibration_id=Subquery(_newest(Calibration)), location_id=Subquery(_newest(InstrumentLocation))
    )


def _newest(
    model: type[Calibration] | type[InstrumentLocation],
) -> QuerySet[Calibration] | QuerySet[InstrumentLocation]:
    return model.objects.filter(instrument=OuterRef("pk")).order_by("-id").values("pk")[:1]  # type: ignore[return-value]


def _lines(rows: QuerySet[Instrument]) -> list[InstrumentLine]:
    instruments = list(rows.select_related("by"))
    calibrations = Calibration.objects.in_bulk([i.calibration_id for i in instruments if i.calibration_id])  # type: ignore[attr-defined]
    locations = InstrumentLocation.objects.in_bulk([i.location_id for i in instruments if i.location_id])  # type: ignore[attr-defined]
    return [
        InstrumentLine(i, calibrations.get(i.calibration_id), locations.get(i.location_id))  # type: ignore[attr-defined]
        for i in instruments
    ]
