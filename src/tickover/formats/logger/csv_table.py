"""Read an engine logger's table (CSV) with the engine speed in a column: bytes in, arrays out.

There is no standard for such tables; what is read here is common practice without a source. Columns are
found by their header, and the log says which were taken. Times may be seconds, hh:mm:ss (running on
through midnight) or ISO 8601 moments; decimals stand behind a point or a comma.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.igc import Damage, TrackLog
from tickover.formats.igc_fixes import Bools, Floats, Ints
from tickover.formats.left_out import in_line_order
from tickover.formats.logger.cells import both_ways, can_mean, numbers
from tickover.formats.logger.columns import (
    Header,
    LoggerColumn,
    is_fahrenheit,
    speed_column,
    temperature_columns,
    time_column,
    vibration_columns,
)
from tickover.formats.logger.speed import rpm_per_count
from tickover.formats.logger.table import Table, moments, read_table, refuse_two_readings
from tickover.formats.text.delimited import lines_of
from tickover.formats.text.times import Placed, place

SIZE_LIMIT_BYTES = 32 * 1024 * 1024
FASTEST_RPM = 30_000.0  # beyond any small two-stroke: a fault of the pick-up (common practice, no source)


@dataclass(frozen=True, eq=False)
class LoggerLog(TrackLog):
    """An engine logger's table on the axis of a track log.

    `extensions` holds RPM [r/min] and, where the table has them, CHT, CHT2, EGT and so on [°C] and VIB, a vibration in
    the logger's own unit; NaN where a sample is missing. There are no positions and no altitudes: NaN, and `valid`
    False. `headers` says which column was taken for what, `remarks` what was taken for granted.
    """

    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Taken:
    """The two columns that matter, and what they hold: rows whose time, whose time and speed can be read."""

    time: LoggerColumn
    speed: LoggerColumn
    moments_s: Floats
    rpm: Floats
    timed: Bools
    sound: Bools


def read_logger_csv(
    data: bytes,
    *,
    date: dt.date | None = None,
    header: Header | None = None,
    per_count: float | None = None,
) -> LoggerLog:
    """Read an engine logger's table.

    Parameters
    ----------
    data : bytes
        The whole file, at most 32 MB: fields apart by commas, semicolons, tabs, bars or blanks, one or two lines of
        headers, lines of other text before them.
    date : datetime.date, optional
        UTC date of the first row, where the table has none; it goes before the table's own. A table whose
        times are moments keeps them; one that counts from its own start then starts at 00:00, unless a
        line above its headers tells the clock.
    header : Header, optional
        Where the headers stand and what each column is called, for a table whose own words do not tell.
    per_count : float, optional
        One count of the engine speed, where its header does not tell. [rpm]

    Raises
    ------
    FormatError
        Nothing in it, too large, no table, no or more than one column for the engine speed or the time,
        no date or start, no row that can be read, or a speed such as 5,400 that can be read in two ways.
    """
    table = read_table(lines_of(data, most_bytes=SIZE_LIMIT_BYTES), header)
    speed = speed_column(table.header.columns)
    time, kind = time_column(table.header.columns, speed, table.some)
    count = rpm_per_count(speed.text) if per_count is None else per_count
    refuse_two_readings(table, speed, count, FASTEST_RPM)
    moments_s, notes = moments(table, time, kind, date)
    notes += [] if count == 1.0 else [f"One count of the engine speed is taken as {count:.6g} rpm."]
    counts, readable = numbers(table.cells(speed))
    rpm = counts * count
    timed = np.isfinite(moments_s)
    sound = timed & readable & ~((rpm < 0.0) | (rpm > FASTEST_RPM))
    taken = _Taken(time, speed, moments_s, rpm, timed, sound)
    if not sound.any():
        raise FormatError(
            f"no row can be read; in the first, {_why(table, taken, 0)}. A cell must hold the number alone, from 0 to "
            f"{FASTEST_RPM:.0f} rpm; its unit belongs into the header.",
            table.lines[0],
        )
    return _log(table, taken, notes)


def _log(table: Table, taken: _Taken, notes: list[str]) -> LoggerLog:
    used = np.flatnonzero(taken.sound)
    placed = place(taken.moments_s[used])
    rows = used[placed.kept]
    repeated = placed.late & np.isin(taken.moments_s[used], taken.moments_s[rows])
    if repeated.any():
        notes.append(f"{int(repeated.sum())} rows repeat the time of another and are left out.")
    temperatures, named, wrong, unused = _temperatures(table, rows)
    vibration = _vibration(table, rows, unused)
    out_of_order = _out_of_order(table, taken, used, placed, repeated)
    nothing = np.full(rows.size, np.nan)
    return LoggerLog(
        date=placed.date,
        t_s=placed.t_s,
        lat_deg=nothing,
        lon_deg=nothing,
        pressure_altitude_m=nothing,
        gnss_altitude_m=nothing,
        valid=np.zeros(rows.size, dtype=np.bool_),
        extensions={"RPM": taken.rpm[rows], **temperatures, **vibration},
        headers={"TIME": str(taken.time), "RPM": str(taken.speed), **named},
        damaged=in_line_order([*table.damaged, *_unreadable(table, taken), *out_of_order, *wrong]),
        remarks=(f"Engine speed from {taken.speed}, time from {taken.time}.", *notes, *unused),
    )


def _vibration(table: Table, rows: Ints, unused: list[str]) -> dict[str, Floats]:
    """The one column of a vibration, in its own unit; of several, none."""
    found = vibration_columns(table.header.columns)
    if len(found) != 1:
        unused += [f"The vibration ({column}) is not used: there is more than one." for column in found]
        return {}
    return {"VIB": numbers(table.cells(found[0]))[0][rows]}


def _temperatures(
    table: Table, rows: Ints
) -> tuple[dict[str, Floats], dict[str, str], list[Damage], list[str]]:
    """Temperatures [°C] and their columns by code, cells that cannot be read, columns that are not used."""
    values: dict[str, Floats] = {}
    named: dict[str, str] = {}
    wrong: list[Damage] = []
    unused: list[str] = []
    for code, column in temperature_columns(table.header.columns).items():
        fahrenheit = is_fahrenheit(column)
        if fahrenheit is None:
            unused.append(f"The {code} ({column}) is not used: its header says neither °C nor °F.")
            continue
        if marked := can_mean(table.cells(column)):
            large, small = both_ways(marked)
            unused.append(f"The {code} ({column}) is not used: {marked} can mean {large} or {small}.")
            continue
        degrees, readable = numbers(table.cells(column))
        values[code] = ((degrees - 32.0) / 1.8 if fahrenheit else degrees)[rows]
        named[code] = str(column)
        for row in rows[~readable[rows]].tolist():
            why = f"{table.shown(row, column, code)}; only this value is left out"
            wrong.append(Damage(table.lines[row], why, ""))
    return values, named, wrong, unused


def _why(table: Table, taken: _Taken, row: int) -> str:
    if taken.timed[row]:
        return table.shown(row, taken.speed, "rpm")
    return table.shown(row, taken.time, "time")


def _unreadable(table: Table, taken: _Taken) -> Iterator[Damage]:
    for row in np.flatnonzero(~taken.sound).tolist():
        yield Damage(table.lines[row], _why(table, taken, row), "")


def _out_of_order(
    table: Table, taken: _Taken, used: Ints, placed: Placed, repeated: Bools
) -> Iterator[Damage]:
    for marked, off in (
        (placed.late & ~repeated, "goes back before another row"),
        (placed.stray, "lies days off the others"),
    ):
        for row in used[marked].tolist():
            cell = table.fields(row)[taken.time.index][:40]
            yield Damage(table.lines[row], f"the time {cell} {off}", "")
