"""What the workshop knows of an engine that a sum asks for: its sheet's figures and its newest readings."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.sheets import TypeSheet
from tickover.workshop.calculations import units
from tickover.workshop.calculations.calculation import Calculation, Field
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Reading


@dataclass(frozen=True)
class Known:
    """Figures as they would be typed, and where each is from."""

    typed: dict[str, str]
    source: dict[str, str]


def engine(serial: str) -> Engine | None:
    return register.engine_by_serial(serial)


def engines() -> list[Engine]:
    return list(register.engines())


def known_of(found: Engine, asked: Calculation) -> Known:
    """Every figure of a sum that is known of an engine; a reading outranks the sheet."""
    try:
        sheet = register.build_of(found)
    except LookupError:
        return Known({}, {})
    readings = {reading.limit_id: reading for reading in reversed(visits.readings_of(found))}
    typed = dict(asked.known(sheet)) if asked.known else {}
    source = dict.fromkeys(typed, "limit of the sheet")
    for field in asked.fields:
        if said := _by_sheet(field, sheet):
            typed[field.name], source[field.name] = said, "from the type sheet"
        for reading in (readings[limit] for limit in field.reading if limit in readings):
            if read := _by_reading(field, reading, sheet):
                typed[field.name], source[field.name] = read, f"read on {local_day(reading.at)}"
    return Known(typed, source)


def _by_sheet(field: Field, sheet: TypeSheet) -> str | None:
    figure = field.engine(sheet.geometry) if field.engine and sheet.geometry else None
    if figure is None:
        return None
    return _figure(units.convert(figure, field.inside or field.unit, field.unit))


def _by_reading(field: Field, reading: Reading, sheet: TypeSheet) -> str | None:
    """The reading in the field's unit; None where the sheet's unit is of another kind."""
    value = reading.value
    if field.over_nominal:
        nominal = next((limit.nominal for limit in sheet.limits if limit.id == reading.limit_id), None)
        if nominal is None:
            return None
        value -= nominal
    try:
        return _figure(units.convert(value, reading.unit, field.unit))
    except ValueError:
        return None


def _figure(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
