"""Read a run-up of any kind of file: an engine logger's table, a flight log with an rpm channel, a recording.

Raises FormatError with a sentence for people; what is wrong with single rows stands in `damaged`.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.filetype import looks_like
from tickover.formats.flight_log import read_flight_log
from tickover.formats.igc import Damage, TrackLog
from tickover.formats.igc_fixes import Floats
from tickover.formats.logger.choice import ColumnChoice, any_header, chosen
from tickover.formats.logger.columns import HEADER_WITHIN, Header, columns_of, find_header
from tickover.formats.logger.csv_table import SIZE_LIMIT_BYTES, LoggerLog, read_logger_csv
from tickover.formats.text.delimited import lines_of
from tickover.science.run_up.measuring.degrees import possible_degrees

NO_LOGS = (
    "ZIP",
    "empty ZIP",
    "gzip",
    "7z",
    "PNG",
    "JPEG",
    "GIF",
    "PDF",
    "SQLite",
    "binary",
    "web page",
    "KML",
    "JSON",
)
ENGINE_CODES = ("RPM", "ENR")
CELSIUS_TAKEN = "CHT and EGT are taken as °C: a flight log names no unit."
NO_FLIGHT = "The file has no B record"
NEITHER = (
    "This is neither a logger's table nor a flight log. A table has a line of headers above its rows, fields apart by "
    "commas, semicolons, tabs or blanks, one column for the time and one whose header says rpm, 1/min, Hz or engine "
    "speed. Export it from the logger as CSV."
)
SLOWEST_S = 5.0
"""A run-up is over in minutes: slower samples are none, or their times are in another unit."""


@dataclass(frozen=True, eq=False)
class RunUpLog:
    """Channels of a run-up: `t_s` from its first row [s], `rpm`, `cht_c` and `egt_c` [°C] or None; NaN where missing.

    Of several heads the hottest counts, sample by sample. `vibration` is in the logger's own unit, or None.

    `kind` says what it was read from, `remarks` what was taken for granted, `damaged` which rows were left out.
    """

    kind: str
    t_s: Floats
    rpm: Floats
    cht_c: Floats | None
    egt_c: Floats | None
    remarks: tuple[str, ...]
    damaged: tuple[Damage, ...]
    vibration: Floats | None = None


def read_runup_log(data: bytes, day: dt.date, choice: ColumnChoice | None = None) -> RunUpLog:
    """Read a run-up that was recorded on a day.

    Parameters
    ----------
    data : bytes
        The whole file.
    day : datetime.date
        For logs that count from their own start; a log with moments in it keeps them.
    choice : Choice, optional
        Which column is which, where the headers do not tell.
    """
    _refuse_what_is_no_log(data)
    if choice is None:
        log = _flight_log(data, day)
        return _channels(log, "logger table" if isinstance(log, LoggerLog) else "flight log")
    header = any_header(lines_of(data, most_bytes=SIZE_LIMIT_BYTES))
    log = read_logger_csv(data, date=day, header=said(header, choice), per_count=choice.rpm_per_count)
    return _channels(log, "logger table")


def _refuse_what_is_no_log(data: bytes) -> None:
    if not data.strip():
        raise FormatError("The file is empty. Copy it from the logger again.")
    kind = looks_like(data)
    if kind.split(" ", 1)[-1].startswith(NO_LOGS):
        raise FormatError(
            f"This looks like {kind}, whatever its name says. Add a logger's table (CSV), a flight log (IGC) or "
            "a recording of the sound."
        )


def _flight_log(data: bytes, day: dt.date) -> TrackLog:
    try:
        return read_flight_log(data, date=day)
    except FormatError as error:
        if error.line is not None or not error.message.startswith(NO_FLIGHT):
            raise
    lines = lines_of(data, most_bytes=SIZE_LIMIT_BYTES)
    if any(columns_of(line) for line in lines[:HEADER_WITHIN]):
        find_header(lines)
    raise FormatError(NEITHER)


def said(header: Header, choice: ColumnChoice) -> Header:
    """The headers in words that tell what was chosen; all that was not chosen is left out of sight."""
    unit = "" if choice.time_unit == "clock" else f" [{choice.time_unit}]"
    words = {chosen(header, choice.time, "the time").index: f"time{unit}"}
    words[chosen(header, choice.rpm, "the engine speed").index] = "engine speed"
    degrees = choice.degrees.replace("deg ", "°")
    for name, index in (("CHT", choice.cht), ("EGT", choice.egt)):
        if index is not None:
            words[chosen(header, index, name).index] = f"{name} [{degrees}]"
    columns = (replace(column, header=words.get(column.index, "")) for column in header.columns)
    return replace(header, columns=tuple(columns))


def _channels(log: TrackLog, kind: str) -> RunUpLog:
    rpm = next((log.extensions[code] for code in ENGINE_CODES if code in log.extensions), None)
    if rpm is None:
        held = ", ".join(sorted(log.extensions)) or "none"
        raise FormatError(
            f"This flight log has no rpm channel (channels in it: {held}). A run-up needs the engine "
            "speed: add the logger's table, or a recording of the sound."
        )
    (cht, heads), (egt, pipes) = _hottest(log, "CHT"), _hottest(log, "EGT")
    remarks = (
        log.remarks if isinstance(log, LoggerLog) else (CELSIUS_TAKEN,) * (cht is not None or egt is not None)
    )
    first = next(iter(np.flatnonzero(np.isfinite(rpm)).tolist()), 0)
    t_s = log.t_s - log.t_s[first]
    _refuse_slow(t_s)
    remarks = (*remarks, *heads, *pipes)
    return RunUpLog(kind, t_s, rpm, cht, egt, remarks, tuple(log.damaged), log.extensions.get("VIB"))


def _hottest(log: TrackLog, name: str) -> tuple[Floats | None, tuple[str, ...]]:
    codes = sorted(code for code in log.extensions if re.fullmatch(rf"{name}\d*", code))
    if not codes:
        return None, ()
    if len(codes) == 1:
        return log.extensions[codes[0]], ()
    # A probe off its wire reads the end of its scale: it must not stand for the others, and is left out before.
    probes = [possible_degrees(name, log.extensions[code], code) for code in codes]
    notes = (f"Of {', '.join(codes)} the hottest counts.", *(remark for _, said in probes for remark in said))
    return np.fmax.reduce([np.full(log.t_s.size, np.nan), *(c for c, _ in probes if c is not None)]), notes


def _refuse_slow(t_s: Floats) -> None:
    step_s = float(np.median(np.diff(t_s))) if t_s.size > 1 else 0.0
    if step_s > SLOWEST_S:
        raise FormatError(
            f"The samples lie {step_s:.3g} s apart; a run-up needs one every {SLOWEST_S:.0f} s at least, better ten a "
            "second. If the times are in another unit, say it in the header, such as time [ms]."
        )
