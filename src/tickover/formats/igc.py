"""Read a flight log in the IGC format: bytes in, arrays out.

Source: FAI, Technical Specification for GNSS Flight Recorders, appendix A. Rules taken from it: a
record is one line named by its first letter; UTC throughout; the B record's fixed columns; the I
record names what follows them; HFDTE holds the date of the first fix. Beyond it, because files found
in the open need it: lines may end in any way, a damaged line costs that line alone and is listed, and
no signature is checked (a log is evidence here, not a record claim).
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.filetype import MAGIC, looks_like
from tickover.formats.igc_fixes import (
    FIX_WIDTH,
    Bools,
    Extension,
    Fixes,
    FixLines,
    Floats,
    Ints,
    find_lines,
    in_order,
    read_fixes,
    unroll_midnight,
    why_damaged,
)

SIZE_LIMIT_BYTES = 64 * 1024 * 1024
LINE_LIMIT = 4_000_000
DAMAGE_LIMIT = 1000
HEADER_LIMIT = 1000
AGAIN = "Add the .igc file as the recorder wrote it."
DATE = re.compile(r"H[A-Z]DTE(?:DATE)?\s*:?\s*(\d\d)[ ./-]?(\d\d)[ ./-]?(\d{4}|\d\d)(?!\d)", re.IGNORECASE)


@dataclass(frozen=True)
class Damage:
    """A line that was left out: its number, counted from 1, why, and how it begins."""

    line: int
    reason: str
    text: str


@dataclass(frozen=True, eq=False)
class TrackLog:
    """A flight log as arrays of one length n, ordered by time.

    `t_s` counts seconds from 00:00 UTC of `date` and runs on through midnight. [s]
    Positions are WGS 84 [degree], north and east positive; altitudes [m]; `valid` is False for a fix
    that the recorder marked V (no satellite height, or no fix at all). `extensions` holds what the I
    record announces by its code (ENL, MOP, RPM), NaN where a line has none; `headers` A and H records.
    """

    date: dt.date
    t_s: Floats
    lat_deg: Floats
    lon_deg: Floats
    pressure_altitude_m: Floats
    gnss_altitude_m: Floats
    valid: Bools
    extensions: dict[str, Floats]
    headers: dict[str, str]
    damaged: tuple[Damage, ...]

    @property
    def start(self) -> dt.datetime:
        """Time of the first fix, UTC."""
        return self._moment(float(self.t_s[0]))

    @property
    def end(self) -> dt.datetime:
        """Time of the last fix, UTC."""
        return self._moment(float(self.t_s[-1]))

    def _moment(self, t_s: float) -> dt.datetime:
        midnight = dt.datetime.combine(self.date, dt.time(), dt.UTC)
        return midnight + dt.timedelta(seconds=t_s)


def read_igc(data: bytes, *, date: dt.date | None = None) -> TrackLog:
    """Read an IGC file.

    Parameters
    ----------
    data : bytes
        The whole file, at most 64 MB.
    date : datetime.date, optional
        UTC date of the first fix, where the file's own is missing or wrong; it goes before it.

    Raises
    ------
    FormatError
        Nothing in it, too large, another kind of file, no fix that can be read, or no date.
    """
    _refuse_at_sight(data)
    lines = find_lines(data.removeprefix(b"\xef\xbb\xbf"))
    found = lines.beginning("B")
    whole = lines.length[found] >= FIX_WIDTH
    numbers = found[whole]
    fixes = read_fixes(lines, numbers, _extensions(lines))
    if not fixes.sound.any():
        raise _no_fixes(data, lines, found)
    return _track(lines, found[~whole], numbers, fixes, date or _date(lines))


def _refuse_at_sight(data: bytes) -> None:
    if len(data) > SIZE_LIMIT_BYTES:
        raise FormatError(
            f"The file has {len(data) / 2**20:.0f} MB; a flight log may have "
            f"{SIZE_LIMIT_BYTES // 2**20} MB at most. Nothing was read. Add one flight at a time."
        )
    if max(data.count(b"\n"), data.count(b"\r")) > LINE_LIMIT:
        raise FormatError(f"The file has more than {LINE_LIMIT} lines. Nothing was read. {AGAIN}")
    if not data.strip():
        raise FormatError(f"The file is empty. {AGAIN}")
    if any(data.startswith(magic) for magic, _ in MAGIC):
        raise FormatError(_wrong_kind(looks_like(data)))


def _wrong_kind(kind: str) -> str:
    advice = "Unpack it and add the .igc file inside." if "archive" in kind else "Add the .igc file."
    return f"This looks like {kind}, not an IGC flight log. {advice}"


def _no_fixes(data: bytes, lines: FixLines, numbers: Ints) -> FormatError:
    kind = looks_like(data)
    if kind:
        return FormatError(_wrong_kind(kind))
    if not numbers.size:
        return FormatError(
            f"The file has no B record (a position with its time), so it holds no flight. {AGAIN}"
        )
    first = int(numbers[0])
    return FormatError(
        f"none of the {numbers.size} B records can be read; in the first, "
        f"{why_damaged(lines.line(first))}. {AGAIN}",
        line=first + 1,
    )


def _text(lines: FixLines, number: int) -> str:
    line = lines.line(number)
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("latin-1")


def _headers(lines: FixLines) -> dict[str, str]:
    found: dict[str, str] = {}
    for number in lines.beginning("A")[:1]:
        found["A"] = _text(lines, int(number))[1:].strip()
    for number in lines.beginning("H")[:HEADER_LIMIT]:
        text = _text(lines, int(number))
        name, colon, value = text[5:].partition(":")
        found.setdefault(text[2:5].upper(), (value if colon else name).strip())
    return found


def _extensions(lines: FixLines) -> tuple[Extension, ...]:
    """What the first I record announces; columns that cannot be are passed over."""
    found: dict[str, Extension] = {}
    for number in lines.beginning("I")[:1]:
        for first, last, code in re.findall(r"(\d\d)(\d\d)([A-Z0-9]{3})", _text(lines, int(number))[3:]):
            if FIX_WIDTH < int(first) <= int(last):
                found.setdefault(code, Extension(code, int(first) - 1, int(last)))
    return tuple(found.values())


def _date(lines: FixLines) -> dt.date:
    unusable: FormatError | None = None
    for number in lines.beginning("H")[:HEADER_LIMIT]:
        text = _text(lines, int(number))
        if text[2:5].upper() == "DTE":
            day = _day(text)
            if day is not None:
                return day
            unusable = unusable or FormatError(
                f'"{text[:60]}" is not a date; HFDTE and then day, month and year, such as HFDTE240625, '
                "is wanted. Give the date of the flight by hand.",
                line=int(number) + 1,
            )
    raise unusable or FormatError(
        "The H record with the date (HFDTE, then day, month and year) is missing, so the flight has no "
        "date. Give the date of the flight by hand."
    )


def _day(text: str) -> dt.date | None:
    match = DATE.match(text)
    if match is None:
        return None
    day, month, year = (int(part) for part in match.groups())
    if year < 100:
        year += 1900 if year >= 80 else 2000  # two digits: no recorder is older than the format
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _track(lines: FixLines, short: Ints, numbers: Ints, fixes: Fixes, date: dt.date) -> TrackLog:
    sound = np.flatnonzero(fixes.sound)
    t_s = unroll_midnight(fixes.time_s[sound])
    kept = in_order(t_s)
    rows = sound[kept]
    return TrackLog(
        date=date,
        t_s=t_s[kept],
        lat_deg=fixes.lat_deg[rows],
        lon_deg=fixes.lon_deg[rows],
        pressure_altitude_m=fixes.pressure_altitude_m[rows],
        gnss_altitude_m=fixes.gnss_altitude_m[rows],
        valid=fixes.valid[rows],
        extensions={code: value[rows] for code, value in fixes.extensions.items()},
        headers=_headers(lines),
        damaged=_damaged(lines, np.concatenate((short, numbers[~fixes.sound])), numbers[sound[~kept]]),
    )


def _damaged(lines: FixLines, unreadable: Ints, disordered: Ints) -> tuple[Damage, ...]:
    first = lines.text[lines.start]
    strange = np.flatnonzero(((first < ord("A")) | (first > ord("Z"))) & (first > ord(" ")))
    late = set(disordered.tolist())
    wrong = np.sort(np.concatenate((unreadable, disordered, strange)))
    listed = [_damage(lines, int(number), int(number) in late) for number in wrong[:DAMAGE_LIMIT]]
    if wrong.size > DAMAGE_LIMIT:
        rest = f"{wrong.size - DAMAGE_LIMIT} more damaged lines from here on are not listed"
        listed.append(Damage(int(wrong[DAMAGE_LIMIT]) + 1, rest, ""))
    return tuple(listed)


def _damage(lines: FixLines, number: int, late: bool) -> Damage:
    line = lines.line(number)
    if late:
        reason = f"the time {line[1:7].decode('latin-1')} repeats or goes back before another fix"
    elif line.startswith(b"B"):
        reason = why_damaged(line)
    else:
        reason = "the line does not begin with the letter of a record"
    return Damage(number + 1, reason, line[:80].decode("latin-1"))
