"""Typed hours in a table: every field wrong in turn, and the good lines kept."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.formats import hours_csv
from tickover.formats.errors import FormatError
from tickover.formats.hours_csv import HoursRow, RowProblem, read_hours_csv

TODAY = dt.date(2025, 5, 5)
HEAD = "engine,date,hours,meter,sd,grade,remark"
GOOD = "1200,2025-05-04,1.5,,0.1,log entry,page 12"


def read(*lines: str, head: str = HEAD, today: dt.date = TODAY) -> tuple[list[HoursRow], list[RowProblem]]:
    rows, problems = read_hours_csv("\n".join((head, *lines)).encode(), today=today)
    return list(rows), list(problems)


def problem(line: str) -> tuple[str, str]:
    """The one problem of a line between two good ones, which are not lost."""
    rows, problems = read(GOOD, line, GOOD.replace("04", "03"))
    assert [row.line for row in rows] == [2, 4]
    assert [p.line for p in problems] == [3]
    return problems[0].field, problems[0].message


def test_a_good_line_is_read() -> None:
    rows, problems = read(GOOD)
    assert problems == []
    assert rows == [HoursRow(2, "1200", dt.date(2025, 5, 4), 1.5, None, 0.1, "log entry", "page 12")]


def test_a_meter_reading_is_no_duration() -> None:
    rows, problems = read("1200,2025-05-04,,312.4,,engine meter,", "1200,2025-05-05,,313,,,")
    assert problems == []
    assert [(r.hours_h, r.meter_h, r.sd_h, r.grade) for r in rows] == [
        (None, 312.4, None, "engine meter"),
        (None, 313.0, None, "engine meter"),
    ]


@pytest.mark.parametrize(
    ("written", "hours_h"),
    [("1.5", 1.5), ("1:30", 1.5), ("1.5 h", 1.5), ("0", 0.0), ("24", 24.0), ("0:06", 0.1)],
)
def test_hours_as_people_write_them(written: str, hours_h: float) -> None:
    rows, _ = read(GOOD.replace("1.5", written))
    assert rows[0].hours_h == pytest.approx(hours_h)


def test_columns_in_any_order_by_semicolons_with_decimal_commas() -> None:
    rows, problems = read("04.05.2025;Owner’s Word;0,7;1200", head="Date;Grade;Hours;Engine")
    assert problems == []
    assert (rows[0].hours_h, rows[0].on_day, rows[0].grade, rows[0].sd_h) == (
        0.7,
        dt.date(2025, 5, 4),
        "owner's word",
        None,
    )


@pytest.mark.parametrize("day", ["2024-02-29", "29.2.2024", "29.02.2024"])
def test_a_leap_day_is_a_day(day: str) -> None:
    rows, _ = read(GOOD.replace("2025-05-04", day))
    assert rows[0].on_day == dt.date(2024, 2, 29)


@pytest.mark.parametrize(
    ("line", "field", "says"),
    [
        (",2025-05-04,1.5,,,log entry,", "engine", "The engine is missing."),
        ("x" * 41 + ",2025-05-04,1.5,,,log entry,", "engine", "41 characters; 40 is the most"),
        ("12\x0700,2025-05-04,1.5,,,log entry,", "engine", "cannot be printed"),
        ("1200,,1.5,,,log entry,", "date", "The date is missing."),
        ("1200,yesterday,1.5,,,log entry,", "date", '"yesterday" is not a day'),
        ("1200,04/05/2025,1.5,,,log entry,", "date", "more than one way"),
        ("1200,4.5.25,1.5,,,log entry,", "date", "is not a day"),
        ("1200,2025-02-29,1.5,,,log entry,", "date", "not in the calendar: February 2025 has 28 days"),
        ("1200,31.4.2025,1.5,,,log entry,", "date", "April 2025 has 30 days"),
        ("1200,2025-13-01,1.5,,,log entry,", "date", "not in the calendar"),
        ("1200,2025-05-06,1.5,,,log entry,", "date", "2025-05-06 is still to come"),
        ("1200,1985-05-04,1.5,,,log entry,", "date", "more than 40 years ago"),
        ("1200,0025-05-04,1.5,,,log entry,", "date", "more than 40 years ago"),
        ("1200,2025-05-02,,,,log entry,", "hours", "nothing is typed"),
        ("1200,2025-05-02,two,,,log entry,", "hours", '"two" is not a number'),
        ("1200,2025-05-02,-0.5,,,log entry,", "hours", "less than nothing"),
        ("1200,2025-05-02,24.1,,,log entry,", "hours", "24.1 h is too much; a day has 24 h"),
        ("1200,2025-05-02,1:60,,,log entry,", "hours", "not a number"),
        ('1200,2025-05-02,"1,250",,,log entry,', "hours", "can mean 1250 or 1.250"),
        ("1200,2025-05-02,nan,,,log entry,", "hours", "not a number"),
        ("1200,2025-05-02,1.5,312,,log entry,", "hours", "Both hours and meter"),
        ("1200,2025-05-02,,-1,,,", "meter", "less than nothing"),
        ("1200,2025-05-02,,20001,,,", "meter", "20000 h is the most an engine can have"),
        ("1200,2025-05-02,,312,,log entry,", "grade", 'The grade of a meter reading is "engine meter"'),
        ("1200,2025-05-02,,312,0.1,,", "sd", "Leave sd blank"),
        ("1200,2025-05-02,1.5,,-0.1,log entry,", "sd", "less than nothing"),
        ("1200,2025-05-02,1.5,,some,log entry,", "sd", "not a number"),
        ("1200,2025-05-02,1.5,,,,", "grade", "grade of the evidence is missing. Write one of: log entry"),
        ("1200,2025-05-02,1.5,,,hearsay,", "grade", '"hearsay" is not a grade of evidence'),
        ("1200,2025-05-02,1.5,,,logger,", "grade", "only given to a file that was read here"),
        ("1200,2025-05-02,1.5,,,engine meter,", "grade", "goes with a reading in the column meter"),
        ("1200,2025-05-02,1.5,,,log entry," + "x" * 61, "remark", "61 characters; 60 is the most"),
        ("1200,2025-05-02,1,5,,0.1,log entry,page 1", "", "8 fields, the header 7"),
        ('1200,2025-05-02,"1.5,,,log entry,', "", "quotation mark is not closed"),
        (GOOD, "", "This repeats line 2"),
    ],
)
def test_each_field_wrong_in_turn(line: str, field: str, says: str) -> None:
    found, message = problem(line)
    assert (found, says in message) == (field, True), message
    assert message.endswith(".")


def test_today_and_the_day_forty_years_ago_are_taken() -> None:
    rows, problems = read(GOOD.replace("2025-05-04", "2025-05-05"), GOOD.replace("2025-05-04", "1985-05-05"))
    assert (len(rows), problems) == (2, [])
    # From a leap day, forty years back lies a leap day again; a day before it is too old.
    _, problems = read(GOOD.replace("2025-05-04", "1984-02-28"), today=dt.date(2024, 2, 29))
    assert [p.field for p in problems] == ["date"]


def test_the_hours_of_one_day_add_up_to_24_at_most() -> None:
    rows, problems = read(
        "1200,2025-05-04,20,,,log entry,a",
        "1200,2025-05-04,5,,,log entry,b",
        "1200,2025-05-04,4,,,log entry,c",
        "1600,2025-05-04,20,,,log entry,a",
    )
    assert [row.line for row in rows] == [2, 4, 5]
    assert problems[0].message.startswith(
        "With the lines above, engine 1200 would have run 25 h on 2025-05-04"
    )


def test_two_flights_of_one_length_are_told_apart_by_their_remark() -> None:
    rows, problems = read(GOOD, GOOD.replace("page 12", "page 13"))
    assert (len(rows), problems) == (2, [])


REFUSED = {
    "empty": (b"\n", "empty"),
    "an archive": (b"PK\x03\x04\0\0", "ZIP archive, not a table"),
    "headers only": (HEAD.encode(), "no lines below"),
    "no date": (b"engine,hours,grade\n", 'Line 1: the column "date" is missing'),
    "neither hours nor meter": (b"\nengine,date,grade\n", 'Line 2: the column "hours" is missing'),
    "misspelt": (b"engine,date,hours,grade,sdd\n", 'no column called "sdd"'),
    "twice": (b"engine,date,hours,hours,grade\n", 'column "hours" is there twice'),
}


@pytest.mark.parametrize(("data", "says"), REFUSED.values(), ids=list(REFUSED))
def test_a_table_whose_columns_are_not_clear_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=says):
        read_hours_csv(data, today=TODAY)


def test_a_table_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hours_csv, "SIZE_LIMIT_BYTES", 10)
    with pytest.raises(FormatError, match="at most"):
        read(GOOD)


TEXTS = st.text(st.characters(codec="utf-8", exclude_characters='\0\r\n\t",;'), max_size=12)


@given(
    st.dates(dt.date(1985, 5, 5), TODAY),
    st.integers(0, 2400),
    st.sampled_from(hours_csv.TYPED_GRADES),
    st.text("abc 123", max_size=30),
)
def test_what_is_written_is_read_back(day: dt.date, hundredths: int, grade: str, remark: str) -> None:
    rows, problems = read(f"1200,{day},{hundredths / 100:.2f},,,{grade},{remark}")
    assert problems == []
    assert rows == [HoursRow(2, "1200", day, hundredths / 100, None, None, grade, remark.strip())]


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS, TEXTS, TEXTS, TEXTS, TEXTS), min_size=1, max_size=8))
def test_each_line_is_a_row_or_a_problem(lines: list[tuple[str, ...]]) -> None:
    written = [",".join(("1200", *fields[1:])) for fields in lines]
    rows, problems = read(*written)
    assert sorted([r.line for r in rows] + [p.line for p in problems]) == list(range(2, len(lines) + 2))


SOUND = "\n".join((HEAD, *(GOOD.replace("04", f"{n:02d}") for n in range(1, 5)))).encode()


@given(st.lists(st.tuples(st.integers(0, len(SOUND) - 1), st.binary(max_size=3)), max_size=12))
@settings(max_examples=300)
def test_random_damage_raises_format_errors_only(damage: list[tuple[int, bytes]]) -> None:
    data = bytearray(SOUND)
    for place, put in damage:
        data[place : place + 1] = put
    try:
        _, problems = read_hours_csv(bytes(data), today=TODAY)
    except FormatError as error:
        assert error.message.endswith(".")
        return
    assert all(p.message.endswith(".") and p.line > 1 for p in problems)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for attempt in (data, HEAD.encode() + b"\n" + data):
        try:
            read_hours_csv(attempt, today=TODAY)
        except FormatError:
            continue
