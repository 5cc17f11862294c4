"""Read a track in the GPX format: bytes in, arrays out.

Source: GPX 1.1 schema (topografix.com/GPX/1/1/gpx.xsd) and GPX 1.0 before it: `trkpt` holds latitude and
longitude as attributes in WGS 84, `ele` in metres, `time` in UTC by ISO 8601. Names count without their
namespace, because writers disagree on it. Nothing outside the file is ever fetched: a document type, and
with it every entity, is refused.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.parsers import expat

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.igc import Damage, TrackLog
from tickover.formats.left_out import in_line_order
from tickover.formats.text.times import Placed, midnight_s, place, read_moment

SIZE_LIMIT_BYTES = 64 * 1024 * 1024
DEEPEST = 64
LONGEST_TEXT = 200
AGAIN = "Add the .gpx file as the recorder wrote it."
CHARACTERS = re.compile(r"utf-?8|utf-?16(le|be)?|us-ascii|iso-8859-\d{1,2}|windows-125\d", re.I | re.A)
"""Encodings of which each byte or pair of bytes is one character: what the XML parser can read."""
UNKNOWN_CHARACTERS = f"the character encoding is none that can be read here (UTF-8 is best). {AGAIN}"
DECIMAL = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,2})?", re.ASCII)


@dataclass
class TrackPoint:
    """A track point as it is written; `line` counts from 1."""

    line: int
    lat: str
    lon: str
    ele: str = ""
    time: str = ""


def read_gpx(data: bytes, *, date: dt.date | None = None) -> TrackLog:
    """Read the track points of a GPX 1.1 or 1.0 file, all tracks and segments as one log.

    Parameters
    ----------
    data : bytes
        The whole file, at most 64 MB.
    date : datetime.date, optional
        UTC date of the first point, where the recorder's calendar was wrong; all points move with it.

    Returns
    -------
    TrackLog
        `gnss_altitude_m` is the elevation, NaN where none can be read; `pressure_altitude_m` is NaN;
        `extensions` is empty: nothing in a GPX track hears the engine. Points without a time that can be
        read are left out and listed in `damaged`.

    Raises
    ------
    FormatError
        Nothing in it, too large, no sound XML, a document type in it, no GPX, or no point with a time.
    """
    if len(data) > SIZE_LIMIT_BYTES:
        raise FormatError(
            f"The file has {len(data) / 2**20:.0f} MB; a GPX track may have {SIZE_LIMIT_BYTES // 2**20} MB "
            "at most. Nothing was read. Add one flight at a time."
        )
    if not data.strip():
        raise FormatError(f"The file is empty. {AGAIN}")
    reading = _Reading()
    reading.parse(data)
    return _track(reading.points, reading.headers, date)


class _Reading:
    """Gathers track points while the parser walks through the file."""

    def __init__(self) -> None:
        self.points: list[TrackPoint] = []
        self.headers: dict[str, str] = {}
        self._depth = self._at = 0
        self._text: list[str] | None = None
        self._parser = expat.ParserCreate()
        self._parser.buffer_text = True
        self._parser.XmlDeclHandler = self._declared
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._add
        self._parser.StartDoctypeDeclHandler = self._refuse

    def parse(self, data: bytes) -> None:
        try:
            self._parser.Parse(data, True)
        except expat.ExpatError as error:
            what = expat.errors.messages.get(error.code, "it cannot be read")
            raise FormatError(f"the XML breaks off or is damaged ({what}). {AGAIN}", error.lineno) from None
        except LookupError:
            raise FormatError(UNKNOWN_CHARACTERS, 1) from None

    def _declared(self, _version: str, encoding: str | None, _alone: int) -> None:
        """The parser would hand any other name to a decoder that it cannot use."""
        if encoding is not None and not CHARACTERS.fullmatch(encoding):
            raise FormatError(UNKNOWN_CHARACTERS, self._line)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        tag = name.rpartition(":")[2]
        if self._depth == 1:
            self._begin(tag, attributes)
        elif self._depth > DEEPEST:
            raise FormatError(f"elements stand in one another {DEEPEST} deep; no GPX does.", self._line)
        elif tag == "trkpt" and not self._at:
            self._at = self._depth
            self.points.append(TrackPoint(self._line, attributes.get("lat", ""), attributes.get("lon", "")))
        elif tag in ("ele", "time") and self._at == self._depth - 1:
            self._text = []

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        if tag != "gpx":
            raise FormatError(f"This is not a GPX track: it begins with <{tag[:40]}>. {AGAIN}", self._line)
        self.headers = {key: attributes[key] for key in ("version", "creator") if key in attributes}

    def _end(self, name: str) -> None:
        if self._at == self._depth:
            self._at = 0
        elif self._text is not None and self._at == self._depth - 1:
            setattr(self.points[-1], name.rpartition(":")[2], "".join(self._text).strip()[:LONGEST_TEXT])
            self._text = None
        self._depth -= 1

    def _add(self, text: str) -> None:
        if self._text is not None:
            self._text.append(text)

    def _refuse(self, *_: object) -> None:
        raise FormatError(
            f"the file brings a document type (DOCTYPE), which no GPX needs. {AGAIN}", self._line
        )

    @property
    def _line(self) -> int:
        return self._parser.CurrentLineNumber


def _track(points: list[TrackPoint], headers: dict[str, str], date: dt.date | None) -> TrackLog:
    if not points:
        raise FormatError(
            "This GPX track holds no track point (trkpt); a route or waypoints are not a flight. Export "
            "the recorded track."
        )
    wrong = [_why_damaged(point) for point in points]
    sound = [point for point, why in zip(points, wrong, strict=True) if not why]
    if not sound:
        raise FormatError(
            f"none of the {len(points)} track points can be used; in the first, {wrong[0]}. "
            "Export the recorded track with its times.",
            points[0].line,
        )
    moments_s = np.array([read_moment(point.time) for point in sound], dtype=np.float64)
    if date is not None:
        moments_s += midnight_s(date) - midnight_s(place(moments_s).date)
    placed = place(moments_s)
    rows = [point for point, kept in zip(sound, placed.kept, strict=True) if kept]
    nothing = np.full(len(rows), np.nan)
    return TrackLog(
        date=placed.date,
        t_s=placed.t_s,
        lat_deg=np.array([float(point.lat) for point in rows]),
        lon_deg=np.array([float(point.lon) for point in rows]),
        pressure_altitude_m=nothing,
        gnss_altitude_m=np.array([_number(point.ele) for point in rows]),
        valid=np.ones(len(rows), dtype=np.bool_),
        extensions={},
        headers=headers,
        damaged=in_line_order(_damaged(points, wrong, sound, placed)),
    )


def _number(text: str) -> float:
    return float(text) if DECIMAL.fullmatch(text) else float("nan")


def _why_damaged(point: TrackPoint) -> str:
    """What keeps a point from being used; "" where nothing does."""
    if not point.time:
        return "the point has no time"
    if read_moment(point.time) is None:
        return f'the time reads "{point.time[:40]}"'
    for name, text, most in (("latitude", point.lat, 90.0), ("longitude", point.lon, 180.0)):
        if not abs(_number(text)) <= most:
            return f'the {name} reads "{text[:40]}"'
    return ""


def _damaged(
    points: list[TrackPoint], wrong: list[str], sound: list[TrackPoint], placed: Placed
) -> Iterator[Damage]:
    for point, why in zip(points, wrong, strict=True):
        if why:
            yield Damage(point.line, why, f"{point.time} {point.lat} {point.lon}"[:80])
    for index in np.flatnonzero(~placed.kept).tolist():
        off = (
            "lies days off the others" if placed.stray[index] else "repeats or goes back before another point"
        )
        yield Damage(sound[index].line, f"the time {sound[index].time[:40]} {off}", "")
