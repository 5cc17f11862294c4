"""The B records of an IGC file as arrays: fixed columns of all lines taken in one go.

Columns and ranges: FAI, Technical Specification for GNSS Flight Recorders, appendix A (B record:
time, latitude, longitude, validity, two altitudes, then what the I record announces). Written from
memory of it and held against the library aerofiles on logs found in the open.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

FIX_WIDTH = 35
RECORD_WIDTH = 99  # the I record counts columns with two digits
BLOCK = 16_384
DAY_S = 86_400.0
HALF_DAY_S = 43_200.0
MINUS = (ord("-") - ord("0")) % 256
FIELDS = tuple(
    (name, start, end, re.compile(pattern))
    for name, start, end, pattern in (
        ("time", 1, 7, rb"([01]\d|2[0-3])[0-5]\d[0-5]\d"),
        ("latitude", 7, 15, rb"([0-8]\d[0-5]\d{4}|9000000)[NS]"),
        ("longitude", 15, 24, rb"((0\d|1[0-7])\d[0-5]\d{4}|18000000)[EW]"),
        ("validity", 24, 25, rb"[AV]"),
        ("pressure altitude", 25, 30, rb"[-\d]\d{4}"),
        ("GNSS altitude", 30, 35, rb"[-\d]\d{4}"),
    )
)


@dataclass(frozen=True)
class FixLines:
    """Where the lines of a text are: first byte, length without the line feed. [byte]"""

    text: Bytes
    start: Ints
    length: Ints

    def beginning(self, letter: str) -> Ints:
        """Numbers, from 0, of the lines that begin with `letter`."""
        return np.flatnonzero((self.text[self.start] == ord(letter)) & (self.length > 0))

    def line(self, number: int) -> bytes:
        """One line, without blanks at its end."""
        start = int(self.start[number])
        return self.text[start : start + int(self.length[number])].tobytes().rstrip()


@dataclass(frozen=True)
class Extension:
    """A value behind the fix, as the I record announces it; columns from 0, `end` not included."""

    code: str
    start: int
    end: int


@dataclass(frozen=True)
class Fixes:
    """B records as columns, in the order of the file. Angles [degree], altitudes [m], time of day [s].

    `sound` is False where a line is damaged; its numbers then mean nothing. A value of an extension
    that is missing or unreadable is NaN.
    """

    sound: Bools
    time_s: Floats
    lat_deg: Floats
    lon_deg: Floats
    valid: Bools
    pressure_altitude_m: Floats
    gnss_altitude_m: Floats
    extensions: dict[str, Floats]


def find_lines(data: bytes) -> FixLines:
    """Split at line feeds, carriage returns or both; padding for the longest record follows the text."""
    if data.count(b"\r") != data.count(b"\r\n"):
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    text = np.frombuffer(data + b"\n" * (RECORD_WIDTH + 1), dtype=np.uint8)
    feeds = np.flatnonzero(text[: len(data) + 1] == 10)
    start = np.concatenate(([0], feeds[:-1] + 1))
    return FixLines(text, start, feeds - start)


def read_fixes(lines: FixLines, numbers: Ints, extensions: tuple[Extension, ...]) -> Fixes:
    """Read the lines `numbers`, all of them B records and long enough for one.

    In blocks, so that a large file takes little memory beyond its own.
    """
    starts = range(0, max(numbers.size, 1), BLOCK)
    blocks = [_read_block(lines, numbers[start : start + BLOCK], extensions) for start in starts]
    columns = {
        field.name: np.concatenate([getattr(block, field.name) for block in blocks])
        for field in fields(Fixes)
        if field.name != "extensions"
    }
    codes = blocks[0].extensions
    extra = {code: np.concatenate([block.extensions[code] for block in blocks]) for code in codes}
    return Fixes(**columns, extensions=extra)


def _read_block(lines: FixLines, numbers: Ints, extensions: tuple[Extension, ...]) -> Fixes:
    width = max([FIX_WIDTH, *(e.end for e in extensions)])
    rows = np.lib.stride_tricks.sliding_window_view(lines.text, width)[lines.start[numbers]]
    cells = np.ascontiguousarray(rows.T) - np.uint8(ord("0"))
    length = lines.length[numbers]
    extra = {e.code: _extension(cells, length, e) for e in extensions}
    lat_deg, lat_sound = _angle(cells, 7, 2, "NS", _fraction(extra.pop("LAD", None), extensions, "LAD"), 90)
    lon_deg, lon_sound = _angle(cells, 15, 3, "EW", _fraction(extra.pop("LOD", None), extensions, "LOD"), 180)
    time_s, time_sound = _time(cells, _fraction(extra.pop("TDS", None), extensions, "TDS"))
    pressure_m, pressure_sound = _signed(cells, 25, 30)
    gnss_m, gnss_sound = _signed(cells, 30, 35)
    valid = cells[24] == _code("A")
    sound = valid | (cells[24] == _code("V"))
    sound &= time_sound & lat_sound & lon_sound & pressure_sound & gnss_sound
    return Fixes(sound, time_s, lat_deg, lon_deg, valid, pressure_m, gnss_m, extra)


def why_damaged(line: bytes) -> str:
    """Say which field of a B record cannot be read."""
    if len(line) < FIX_WIDTH:
        return f"the fix ends after {len(line)} of {FIX_WIDTH} characters"
    for name, start, end, pattern in FIELDS:
        if not pattern.fullmatch(line[start:end]):
            return f'the {name} reads "{line[start:end].decode("latin-1")}"'
    return "the fix cannot be read"


def unroll_midnight(time_s: Floats) -> Floats:
    """Let the time of day run on through midnight: a step back of more than 12 h is the next day. [s]

    A single fix that lies more than 12 h off both its neighbours is a damaged time, not two midnights.
    """
    step = np.diff(time_s)
    far = np.abs(step) > HALF_DAY_S
    lone = np.flatnonzero(far[:-1] & far[1:] & (step[:-1] * step[1:] < 0)) + 1
    steady = time_s.copy()
    steady[lone] = steady[lone - 1]
    days = np.concatenate(([0.0], np.cumsum(np.diff(steady) < -HALF_DAY_S)))
    return np.asarray(time_s + DAY_S * days, dtype=np.float64)


def in_order(t_s: Floats) -> Bools:
    """Mark the largest set of fixes whose times increase; the first of several with one time is kept.

    Longest increasing subsequence, so that one wrong time costs one fix and not all that follow it.
    """
    if bool(np.all(np.diff(t_s) > 0)):
        return np.ones(t_s.size, dtype=np.bool_)
    tops: list[float] = []
    top_index: list[int] = []
    before: list[int] = []
    for index, time in enumerate(t_s.tolist()):
        place = bisect_left(tops, time)
        before.append(top_index[place - 1] if place else -1)
        if place == len(tops):
            tops.append(time)
            top_index.append(index)
        elif time < tops[place]:
            tops[place] = time
            top_index[place] = index
    return _walk_back(before, top_index[-1])


def _walk_back(before: list[int], last: int) -> Bools:
    kept = np.zeros(len(before), dtype=np.bool_)
    while last >= 0:
        kept[last] = True
        last = before[last]
    return kept


def _code(letter: str) -> int:
    return (ord(letter) - ord("0")) % 256


def _digits(cells: Bytes, start: int, end: int) -> Floats:
    value: Floats = cells[start].astype(np.float64)
    for column in range(start + 1, end):
        value *= 10.0
        value += cells[column]
    return value


def _all_digits(cells: Bytes, start: int, end: int) -> Bools:
    return np.asarray(cells[start:end].max(axis=0) <= 9)


def _signed(cells: Bytes, start: int, end: int) -> tuple[Floats, Bools]:
    """A number whose first character may be a minus sign, and where it is one."""
    minus = (cells[start] == MINUS) if end - start > 1 else np.zeros(cells.shape[1], dtype=np.bool_)
    rest = _digits(cells, start + 1, end) if end - start > 1 else np.zeros(cells.shape[1])
    lead = cells[start] * 10.0 ** (end - start - 1)
    sound = minus | (cells[start] <= 9)
    if end - start > 1:
        sound = sound & _all_digits(cells, start + 1, end)
    return np.where(minus, -rest, lead + rest), sound


def _extension(cells: Bytes, length: Ints, extension: Extension) -> Floats:
    value, sound = _signed(cells, extension.start, extension.end)
    value[~sound | (length < extension.end)] = np.nan
    return value


def _fraction(value: Floats | None, extensions: tuple[Extension, ...], code: str) -> Floats | float:
    """The digits that a TDS, LAD or LOD extension adds behind the last digit of the fix, from 0 to 1."""
    if value is None:
        return 0.0
    width = next(e.end - e.start for e in extensions if e.code == code)
    return np.asarray(np.maximum(np.nan_to_num(value, nan=0.0), 0.0) / 10.0**width)


def _angle(
    cells: Bytes, start: int, degree_digits: int, signs: str, extra: Floats | float, most: float
) -> tuple[Floats, Bools]:
    middle, end = start + degree_digits, start + degree_digits + 5
    thousandths = _digits(cells, middle, end)
    degrees = _digits(cells, start, middle) + (thousandths + extra) / 60_000.0
    minus = cells[end] == _code(signs[1])
    sound = _all_digits(cells, start, end) & (minus | (cells[end] == _code(signs[0])))
    sound &= (thousandths < 60_000) & (degrees <= most)
    return np.where(minus, -degrees, degrees), sound


def _time(cells: Bytes, fraction: Floats | float) -> tuple[Floats, Bools]:
    hour, minute, second = (_digits(cells, start, start + 2) for start in (1, 3, 5))
    sound = _all_digits(cells, 1, 7) & (hour < 24) & (minute < 60) & (second < 60)
    return hour * 3600.0 + minute * 60.0 + second + fraction, sound
