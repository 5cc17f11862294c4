"""Read engine hours that somebody typed into a table: one line for a day's flying or a meter reading.

Columns, in any order: engine (its serial), date, hours or meter, sd, grade, remark. `hours` is the engine
time of that day; `meter` is what the engine meter showed at the end of it. `sd` is the standard deviation
of the hours [h]; `remark` says where they are written. A line that is wrong costs that line alone.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tickover.formats.errors import FormatError
from tickover.formats.text.delimited import delimiter_of, fields_of, lines_of, records
from tickover.formats.text.number import read_number
from tickover.formats.text.times import read_day

SIZE_LIMIT_BYTES = 4 * 1024 * 1024
LONGEST_SERIAL = 40
LONGEST_REMARK = 60
LONGEST_DAY_H = 24.0
LONGEST_LIFE_H = 20_000.0
OLDEST_YEARS = 40
COLUMNS = ("engine", "date", "hours", "meter", "sd", "grade", "remark")
NEEDED = ("engine", "date", "grade")
METER = "engine meter"
TYPED_GRADES = ("log entry", "owner's word", "estimate")
READ_GRADES = ("logger", "track log with engine noise", "track log without engine noise")
HOURS_AND_MINUTES = re.compile(r"(\d{1,5}):([0-5]\d)", re.ASCII)


@dataclass(frozen=True)
class HoursRow:
    """One sound line. Either `hours_h` or `meter_h` is a number, the other None; so is a blank `sd_h`. [h]"""

    line: int
    engine: str
    on_day: dt.date
    hours_h: float | None
    meter_h: float | None
    sd_h: float | None
    grade: str
    remark: str


@dataclass(frozen=True)
class RowProblem:
    """What is wrong with one line: its number, counted from 1, the column ("" for the line), a sentence."""

    line: int
    field: str
    message: str


class _WrongFieldError(Exception):
    """A field that cannot be used; caught line by line."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


def read_hours_csv(data: bytes, *, today: dt.date) -> tuple[tuple[HoursRow, ...], tuple[RowProblem, ...]]:
    """Read a table of typed engine hours.

    Parameters
    ----------
    data : bytes
        The whole file, at most 4 MB: fields apart by commas, semicolons or tabs, one line of headers.
    today : datetime.date
        Later days are still to come, and refused; so is what lies more than 40 years back.

    Returns
    -------
    tuple of rows, tuple of problems
        Both in the order of the file. Each line is in one of them.

    Raises
    ------
    FormatError
        Nothing in it, too large, no text, no lines, or headers that do not tell which column is which.
    """
    lines = lines_of(data, most_bytes=SIZE_LIMIT_BYTES)
    first = next(number for number, line in enumerate(lines) if line.strip())
    delimiter = delimiter_of(lines[first])
    columns = _columns(fields_of(lines[first], delimiter, first + 1), first + 1)
    rows: list[HoursRow] = []
    problems: list[RowProblem] = []
    seen = _Seen({}, {})
    for number, fields in records(lines, first + 1, delimiter):
        try:
            row = _row(number, fields, columns, today)
            seen.add(row)
            rows.append(row)
        except _WrongFieldError as wrong:
            problems.append(RowProblem(number, wrong.field, wrong.message))
    if not rows and not problems:
        raise FormatError("The table has headers and no lines below them.")
    return tuple(rows), tuple(problems)


def _columns(headers: Sequence[str], line: int) -> tuple[str, ...]:
    names = tuple(header.casefold() for header in headers)
    asked = f"The columns are {', '.join(COLUMNS)}; sd and remark may be left out, and hours or meter."
    for name in names:
        if name and name not in COLUMNS:
            raise FormatError(f'there is no column called "{name[:40]}". {asked}', line)
        if name and names.count(name) > 1:
            raise FormatError(f'the column "{name}" is there twice. {asked}', line)
    missing = [name for name in NEEDED if name not in names]
    if missing or not {"hours", "meter"} & set(names):
        raise FormatError(f'the column "{(missing or ["hours"])[0]}" is missing. {asked}', line)
    return names


@dataclass(frozen=True)
class _Seen:
    """Lines so far: what each of them says, and the hours of each engine on each day."""

    lines: dict[tuple[object, ...], int]
    hours_h: dict[tuple[str, dt.date], float]

    def add(self, row: HoursRow) -> None:
        said = (row.engine, row.on_day, row.hours_h, row.meter_h, row.remark)
        if said in self.lines:
            raise _WrongFieldError(
                "",
                f"This repeats line {self.lines[said]}. Where both are meant, add a different remark to each.",
            )
        together_h = self.hours_h.get((row.engine, row.on_day), 0.0) + (row.hours_h or 0.0)
        if together_h > LONGEST_DAY_H:
            raise _WrongFieldError(
                "hours",
                f"With the lines above, engine {row.engine} would have run {together_h:g} h on {row.on_day}; "
                "a day has 24 h.",
            )
        self.lines[said] = row.line
        self.hours_h[row.engine, row.on_day] = together_h


def _row(line: int, fields: list[str] | FormatError, columns: tuple[str, ...], today: dt.date) -> HoursRow:
    if isinstance(fields, FormatError):
        raise _WrongFieldError("", f"In this line {fields.message}.")
    if any(fields[len(columns) :]):
        raise _WrongFieldError(
            "",
            f"This line has {len(fields)} fields, the header {len(columns)}. "
            "Put what has a comma in it in quotation marks.",
        )
    cells = dict(zip(columns, fields, strict=False))
    hours_h, meter_h = _hours_or_meter(cells)
    return HoursRow(
        line=line,
        engine=_text(cells, "engine", LONGEST_SERIAL, needed=True),
        on_day=_day(cells.get("date", ""), today),
        hours_h=hours_h,
        meter_h=meter_h,
        sd_h=_sd(cells.get("sd", ""), meter_h),
        grade=_grade(cells.get("grade", ""), meter_h),
        remark=_text(cells, "remark", LONGEST_REMARK, needed=False),
    )


def _hours_or_meter(cells: Mapping[str, str]) -> tuple[float | None, float | None]:
    hours, meter = cells.get("hours", ""), cells.get("meter", "")
    if hours and meter:
        raise _WrongFieldError("hours", "Both hours and meter are filled in. Keep one of them.")
    if meter:
        return None, _amount(meter, "meter", LONGEST_LIFE_H)
    return _amount(hours, "hours", LONGEST_DAY_H, " For hours of many days, give meter readings."), None


def _amount(text: str, field: str, most: float, advice: str = "") -> float:
    clock = HOURS_AND_MINUTES.fullmatch(text)
    try:
        value = int(clock[1]) + int(clock[2]) / 60 if clock else read_number(text, unit="h", name=field)
    except FormatError as error:
        raise _WrongFieldError(field, error.message) from None
    if value < 0:
        raise _WrongFieldError(field, f"{field}: {value:g} h is less than nothing.")
    if value > most:
        span = "a day has 24 h" if most == LONGEST_DAY_H else f"{most:g} h is the most an engine can have"
        raise _WrongFieldError(field, f"{field}: {value:g} h is too much; {span}.{advice}")
    return value


def _day(text: str, today: dt.date) -> dt.date:
    if not text:
        raise _WrongFieldError("date", "The date is missing. Write year-month-day, such as 2025-05-04.")
    try:
        day = read_day(text)
    except FormatError as error:
        raise _WrongFieldError("date", error.message) from None
    if day > today:
        raise _WrongFieldError("date", f"{day} is still to come.")
    if (day.year + OLDEST_YEARS, day.month, day.day) < (today.year, today.month, today.day):
        raise _WrongFieldError("date", f"{day} is more than {OLDEST_YEARS} years ago. Check the year.")
    return day


def _sd(text: str, meter_h: float | None) -> float | None:
    if text and meter_h is not None:
        raise _WrongFieldError("sd", "A meter reading is as sure as the meter. Leave sd blank.")
    return _amount(text, "sd", LONGEST_DAY_H) if text else None


def _grade(text: str, meter_h: float | None) -> str:
    grade = " ".join(text.casefold().replace("’", "'").split())
    if meter_h is not None:
        if grade in ("", METER):
            return METER
        raise _WrongFieldError("grade", f'The grade of a meter reading is "{METER}". Write that, or nothing.')
    if grade in TYPED_GRADES:
        return grade
    choice = f"Write one of: {', '.join(TYPED_GRADES)}."
    if grade in READ_GRADES:
        raise _WrongFieldError("grade", f'"{grade}" is only given to a file that was read here. {choice}')
    if grade == METER:
        raise _WrongFieldError("grade", f'"{METER}" goes with a reading in the column meter. {choice}')
    said = f'"{text[:40]}" is not a grade of evidence' if text else "The grade of the evidence is missing"
    raise _WrongFieldError("grade", f"{said}. {choice}")


def _text(cells: Mapping[str, str], field: str, most: int, *, needed: bool) -> str:
    text = cells.get(field, "")
    if needed and not text:
        raise _WrongFieldError(field, f"The {field} is missing.")
    if len(text) > most:
        raise _WrongFieldError(field, f"The {field} has {len(text)} characters; {most} is the most.")
    if not text.isprintable():
        raise _WrongFieldError(field, f"The {field} has characters in it that cannot be printed.")
    return text
