"""Read whatever hears or sees an engine run: an IGC flight log, a GPX track, an engine logger's table."""

from __future__ import annotations

import datetime as dt
import re

from tickover.formats.errors import FormatError
from tickover.formats.filetype import looks_like
from tickover.formats.gpx import read_gpx
from tickover.formats.igc import TrackLog, read_igc
from tickover.formats.logger.columns import HEADER_WITHIN, has_engine_speed
from tickover.formats.logger.csv_table import read_logger_csv
from tickover.formats.text.delimited import UTF_16, lines_of

HEAD_BYTES = 64 * 1024
FIX = re.compile(rb"^B\d{6}\d{7}[NS]\d{8}[EW]", re.MULTILINE)


def read_flight_log(data: bytes, *, date: dt.date | None = None) -> TrackLog:
    """Read a flight log of any kind known here, told by what it holds and not by its name.

    Raises
    ------
    FormatError
        As the reader of that kind does; that of IGC speaks for what is of no kind.
    """
    if looks_like(data) in ("a GPX track", "an XML file"):
        return read_gpx(data, date=date)
    if not FIX.search(data) and _is_table(data):
        return read_logger_csv(data, date=date)
    return read_igc(data, date=date)


def _is_table(data: bytes) -> bool:
    if looks_like(data) == "a table (CSV)":
        return True
    head = data[:HEAD_BYTES]
    if data.startswith(UTF_16):
        head = head[: len(head) // 2 * 2]
    try:
        return has_engine_speed(lines_of(head, most_bytes=HEAD_BYTES)[:HEADER_WITHIN])
    except FormatError:
        return False
