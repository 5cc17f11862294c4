"""The instrument register as a file: a row for each instrument, in the order of the page (RFC 4180)."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date
from typing import Any

from tickover.formats.spreadsheet import safe_cell
from tickover.workshop.instruments.queries import InstrumentLine


def as_csv(lines: Iterable[InstrumentLine], today: date) -> str:
    """Names of columns first."""
    rows = [_row(line, today) for line in lines]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_COLUMNS)
    writer.writerows([safe_cell(row[name]) for name in _COLUMNS] for row in rows)
    return out.getvalue()


_COLUMNS = (
    "number", "kind", "title", "serial", "unit", "range_lower", "range_upper", "resolution",
    "expanded_uncertainty", "percent_of_reading", "location", "calibrated_on", "due_on", "certificate", "state",
    "tool_class",
)  # fmt: skip


def _row(line: InstrumentLine, today: date) -> dict[str, Any]:
    own, last = line.instrument, line.calibration
    return {
        **{name: getattr(own, name) for name in _COLUMNS[:8]},
        "expanded_uncertainty": line.stated.expanded_uncertainty,
        "percent_of_reading": line.stated.percent,
        "location": line.location,
        "calibrated_on": last.on_day.isoformat() if last else None,
        "due_on": line.due_on.isoformat() if line.due_on else None,
        "certificate": last.certificate if last else None,
        "state": line.calibration_state(today),
        "tool_class": line.stated.tool_class,
    }
