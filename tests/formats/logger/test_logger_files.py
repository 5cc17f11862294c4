"""Files as loggers, spreadsheets and people leave them: read as they are meant, or refused in words; never guessed."""

from __future__ import annotations

import datetime as dt
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.formats.errors import FormatError
from tickover.formats.logger.cells import numbers
from tickover.formats.logger.speed import rpm_per_count
from tickover.formats.run_up_log import RunUpLog, read_runup_log
from tickover.formats.text import delimited
from tickover.formats.text.times import read_clock, read_moment

DAY = dt.date(2025, 5, 4)
NBSP, THIN = "\u00a0", "\u202f"


def read(data: str | bytes) -> RunUpLog:
    return read_runup_log(data.encode() if isinstance(data, str) else data, DAY)


T, N = [0.0, 0.5, 1.0], [2000.0, 5400.0, 5410.0]
READ = {
    "commas": ("time,rpm", "0,2000", "0.5,5400", "1,5410"),
    "semicolons, decimal comma": ("Zeit;Drehzahl", "0;2000", "0,5;5400", "1;5410"),
    "tabs": ("time\trpm", "0\t2000", "0.5\t5400", "1\t5410"),
    "tabs, decimal comma": ("time\trpm", "0\t2000,0", "0,5\t5400,0", "1\t5410,0"),
    "bars": ("time|rpm", "0|2000", "0.5|5400", "1|5410"),
    "blanks": ("time rpm", "0 2000", "0.5 5400", "1 5410"),
    "blanks in columns": ("  time    rpm", "  0.0   2000", "  0.5   5400", "  1.0   5410"),
    "blanks, decimal comma": ("time rpm", "0,0 2000", "0,5 5400", "1,0 5410"),
    "blanks, units below": ("time rpm", "s 1/min", "0 2000", "0.5 5400", "1 5410"),
    "blanks below a sentence": ("engine rpm log of the day", "time rpm", "0 2000", "0.5 5400", "1 5410"),
    "quoted": ('"time";"rpm"', '"0";"2000"', '"0,5";"5400"', '"1";"5410"'),
    "two lines of headers": ("time;engine speed", "s;1/min", "0;2000", "0.5;5400", "1;5410"),
    "a spreadsheet's first line": ("sep=;", "time;rpm", "0;2000", "0.5;5400", "1;5410"),
    "headers behind a hash": ("# logger 3", "# time,rpm", "0,2000", "0.5,5400", "1,5410"),
    "comments between": ("time,rpm", "0,2000", "# lap 1", "0.5,5400", "// note", "1,5410", "% end"),
    "milliseconds": ("time [ms],rpm", "0,2000", "500,5400", "1000,5410"),
    "microseconds": ("t (us),rpm", "0,2000", "500000,5400", "1000000,5410"),
    "minutes": ("time [min],rpm", "0,2000", "0.00833333,5400", "0.01666667,5410"),
    "a clock": ("time,rpm", "14:03:05.0,2000", "14:03:05.5,5400", "14:03:06.0,5410"),
    "a clock, decimal comma": ("time;rpm", "14:03:05,0;2000", "14:03:05,5;5400", "14:03:06,0;5410"),
    "a clock, thousandths behind a colon": ("time,rpm", "14:03:05:000,2000", "14:03:05:500,5400", "14:03:06:000,5410"),
    "past midnight": ("time,rpm", "23:59:59.5,2000", "00:00:00.0,5400", "00:00:00.5,5410"),
    "a clock of twelve hours": ("time,rpm", "11:59:59.5 AM,2000", "12:00:00.0 PM,5400", "12:00:00.5 PM,5410"),
    "past midnight by twelve hours": ("time,rpm", "11:59:59.5 PM,2000", "12:00:00.0 AM,5400", "12:00:00.5 am,5410"),
    "a spreadsheet's stop watch": ("time,rpm", "00:01.0,2000", "00:01.5,5400", "00:02.0,5410"),
    "moments": ("time,rpm", "2025-05-04T14:03:05.0Z,2000", "2025-05-04T14:03:05.5Z,5400", "2025-05-04T14:03:06Z,5410"),
    "moments, basic": ("time,rpm", "20250504T140305.0Z,2000", "20250504T140305.5Z,5400", "20250504T140306Z,5410"),
    "moments, day first": (
        "time,rpm", "4.5.2025 14:03:05.0,2000", "4.5.2025 14:03:05.5,5400", "4.5.2025 14:03:06,5410"),
    "moments with slashes, year first": (
        "time,rpm", "2025/05/04 14:03:05.0,2000", "2025/05/04 14:03:05.5,5400", "2025/05/04 14:03:06,5410"),
    "turns a second": ("time,engine speed [Hz]", "0,33.33333333", "0.5,90", "1,90.1666666667"),
    "rps": ("time;rps", "0;33,33333333", "0,5;90", "1;90,1666666667"),
    "turns a second, unit below": ("time;engine speed", "s;rev/s", "0;33,33333333", "0,5;90", "1;90,1666666667"),
    "hundreds of rpm": ("time,rpm x100", "0,20", "0.5,54", "1,54.1"),
    "thousands of rpm": ("time,U/min x 1000", "0,2", "0.5,5.4", "1,5.41"),
    "three decimals of thousands": ("time,krpm", "0,2.000", "0.5,5.400", "1,5.410"),
    "thousands behind a blank": ("time;rpm", "0;2 000", "0,5;5 400", "1;5 410"),
    "thousands behind a hard blank": ("time;rpm", f"0;2{NBSP}000", f"0,5;5{THIN}400", f"1;5{NBSP}410"),
    "thousands behind an apostrophe": ("time;rpm", "0;2'000", "0.5;5'400", "1;5’410"),
    "thousands and decimals": ("time;rpm", "0;2,000.0", "0.5;5,400.0", "1;5,410.00"),
    "thousands and decimals, turned about": ("time;rpm", "0;2.000,0", "0,5;5.400,0", "1;5.410,00"),
    "as powers of ten": ("time,rpm", "0.0E+00,2.0E+03", "5.0E-01,5.4E+03", "1.0E+00,5.41E+03"),
    "plus signs, blanks about": ("time , rpm ", " +0 , +2000", " 0.5 , 5400 ", "1,5410"),
    "a second header where the log went on": ("time,rpm", "0,2000", "0.5,5400", "time,rpm", "1,5410"),
    "a last line of words": ("time,rpm", "0,2000", "0.5,5400", "1,5410", "End of log"),
    "one time stamp twice": ("time,rpm", "0,2000", "0.5,5400", "0.5,9999", "1,5410"),
    "one step back": ("time,rpm", "0,2000", "0.5,5400", "1,5410", "0.2,9999"),
    "text for a speed": ("time,rpm", "0,2000", "0.2,stall", "0.5,5400", "0.7,----x", "1,5410"),
    "speeds without end": ("time,rpm", "0,2000", "0.2,inf", "0.3,-inf", "0.4,1e99", "0.5,5400", "1,5410"),
    "counters that ran over": ("time,rpm", "0,2000", "0.2,65535", "0.3,-1", "0.5,5400", "1,5410"),
    "digits of another script": ("time,rpm", "0,2000", "0.2,٥٤٠٠", "0.3,54²", "0.5,5400", "1,5410"),
}  # fmt: skip


@pytest.mark.parametrize("name", READ)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_table_is_read_as_it_is_meant(name: str, end: str) -> None:
    log = read(end.join(READ[name]) + end)
    assert log.t_s.tolist() == pytest.approx(T, abs=1e-5)
    assert log.rpm.tolist() == pytest.approx(N, abs=1e-3)


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_in_any_characters(coding: str) -> None:
    rows = "Zeit [s];Drehzahl;Zylinderkopf [°C]\n0;2000;90\n0,5;5400;95\n1;5410;99\n"
    log = read(rows.encode(coding))
    assert log.rpm.tolist() == N and log.cht_c is not None and log.cht_c.tolist() == [90.0, 95.0, 99.0]


def test_missing_samples_stay_missing() -> None:
    log = read("time,rpm\n0,2000\n0.5,\n1,nan\n1.5,N/A\n2,--\n2.5,5400\n")
    assert np.isnan(log.rpm).tolist() == [False, True, True, True, True, False] and not log.damaged


def test_degrees_fahrenheit_become_celsius() -> None:
    # 212 °F is where water boils, 1112 °F is 600 °C by the definition of the scale.
    log = read("time,rpm,CHT (°F),EGT degF\n0,2000,212,1112\n1,5400,212,1112\n")
    assert log.cht_c is not None and log.egt_c is not None
    assert (log.cht_c[0], log.egt_c[0]) == (pytest.approx(100.0), pytest.approx(600.0))


def test_of_two_heads_the_hotter_counts_and_of_one_vibration_its_own_unit() -> None:
    log = read("time,rpm,CHT 1 [C],CHT 2 [C],vibration [mm/s]\n0,2000,90,92,4.1\n1,5400,99,,4.2\n")
    assert log.cht_c is not None and log.cht_c.tolist() == [92.0, 99.0]
    assert log.vibration is not None and log.vibration.tolist() == [4.1, 4.2]
    assert "Of CHT, CHT2 the hottest counts." in log.remarks


def test_a_probe_off_its_wire_does_not_stand_for_the_other_head() -> None:
    rows = "".join(f"{t},5400,{90 + t},1372\n" for t in range(6))
    log = read(f"time,rpm,CHT 1 [C],CHT 2 [C]\n{rows}")
    assert log.cht_c is not None and log.cht_c.tolist() == [90.0, 91.0, 92.0, 93.0, 94.0, 95.0]
    assert any("6 samples of the CHT2 lie outside -40 to 450 °C" in remark for remark in log.remarks)


def test_of_two_vibrations_none_is_taken() -> None:
    log = read("time,rpm,vib x,vib y\n0,2000,4,5\n1,5400,4,5\n")
    assert log.vibration is None and "there is more than one" in log.remarks[-1]


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("time,rpm,CHT\n0,2000,90\n1,5400,90\n", "says neither °C nor °F"),
        ("time,rpm,CHT [K]\n0,2000,363\n1,5400,363\n", "says neither °C nor °F"),
        ("time;rpm;EGT [F]\n0;2000;1,112\n1;5400;1,114\n", "1,112 can mean 1112 or 1.112"),
    ],
)
def test_a_temperature_that_can_be_read_in_two_ways_is_not_used(table: str, said: str) -> None:
    log = read(table)
    assert log.cht_c is None and log.egt_c is None and said in log.remarks[-1]


REFUSED = {
    "nothing": (b"", "The file is empty. Copy it"),
    "blank lines": (b"\n\n \n", "empty"),
    "only headers": (b"time,rpm\n", "headers and no rows below them. Copy it"),
    "words": (b"Dear customer,\nthe log is in the mail.\n", "neither a logger's table nor a flight log.*Export it"),
    "no speed": (b"time,value\n1,2\n2,3\n", r"No column for engine speed: its header must say.*Columns seen"),
    "two speeds": (b"time,RPM left,RPM right\n1,2,3\n", 'column 2, "RPM left" or column 3.*Leave one of them'),
    "one speed twice": (b"time,rpm,rpm\n1,2,3\n", 'column 2, "rpm" or column 3, "rpm". Leave one'),
    "no time": (b"temp,rpm\n1,2\n", "No column for time: its header must say"),
    "minutes or hours": (b"time,rpm\n00:01,5400\n00:02,5400\n", r'The time \(column 1, "time"\) reads "00:01"'),
    "month or day first": (
        b"time,rpm\n05/04/2025 14:03:00,5400\n05/04/2025 14:03:01,5400\n", 'reads "05/04/2025 14:03:00"'),
    "days of a spreadsheet": (
        b"time,rpm\n45781.50000,5400\n45781.50001,5400\n", "Line 2: .*as a spreadsheet counts them. Give the column"),
    "milliseconds called nothing": (
        b"time,rpm\n" + b"".join(b"%d,5400\n" % (n * 500) for n in range(40)), r"500 s apart.*such as time \[ms\]"),
    "units in the cells": (b"time,rpm\n0,5400 rpm\n1,5410 rpm\n", 'Line 2: .*"5400 rpm".*belongs into the header'),
    "hexadecimal": (b"time,rpm\n0,0x1518\n1,0x1519\n", 'Line 2: .*reads "0x1518".*number alone'),
    "thousands or decimals": (b"time;rpm\n0;850\n1;5,400\n", "Line 3: .*5400 or 5.400. Export it without"),
    "tenfold or a tenth": (b"time,rpm/10\n0,200\n1,540\n", "does not say what one count .* Write rpm, rpm x 10 or Hz"),
    "decimal commas between commas": (b"time,rpm\n0,1,5400\n0,2,5400\n", "Line 2: .*need semicolons or tabs"),
    "other marks below the headers": (b"time,rpm\n0\t5400\n1\t5400\n", "Line 2: .*the line has 1 fields, the header 2"),
    "all of it text": (b"time,rpm\n0,a\n1,b\n", 'Line 2: .*reads "a".*number alone'),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0" * 30, "a PNG picture.*Add"),
    "an archive": (b"PK\x03\x04" + b"\0" * 30, "a ZIP archive.*Add"),
    "a page": (b"<!doctype html><html>404</html>", "a web page.*Add"),
    "zeros between": (b"time,rpm\n0,5400\n1,54\x0000\n", "a binary file.*Add"),
    "UTF-16 without its mark": ("time,rpm\n0,5400\n".encode("utf-16-le"), "a binary file.*Add"),
    "one line without end": (b"time,rpm\n" + b"1," * 80_000, "Line 2: .*the line has 160000 characters"),
    "a stray year": (b"time,rpm\n" + b"".join(b"%d,1\n" % (n * 90000) for n in range(20)), "over 20 days.*unit"),
}  # fmt: skip


@pytest.mark.parametrize(("data", "says"), REFUSED.values(), ids=list(REFUSED))
def test_what_cannot_be_read_says_what_where_and_what_to_do(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=f"(?s){says}") as refused:
        read(data)
    assert refused.value.message.endswith((".", '".'))


@pytest.mark.parametrize(
    ("line", "field"),
    [("0.2,stall", '"stall"'), ("nine,5400", '"nine"'), ("0.2,65535", '"65535"'), ("0.2", "1 fields"),
     ("0.2,1,2", "3 fields")],
)  # fmt: skip
def test_a_damaged_row_is_told_by_its_line_and_its_field(line: str, field: str) -> None:
    log = read(f"time,rpm\n0,2000\n{line}\n0.5,5400\n1,5410\n")
    assert [(damage.line, field in damage.reason) for damage in log.damaged] == [(3, True)]


def test_a_clock_that_reads_whole_seconds_keeps_the_first_of_each_and_says_so() -> None:
    log = read("time,rpm\n" + "".join(f"14:00:{n // 10:02d},{5000 + n}\n" for n in range(30)))
    assert log.rpm.tolist() == [5000.0, 5010.0, 5020.0]
    assert "27 rows repeat the time of another and are left out." in log.remarks


def test_an_engine_that_stands_throughout_is_read_as_standing() -> None:
    assert not read("time,rpm\n" + "".join(f"{n},0\n" for n in range(40))).rpm.any()


def test_more_lines_than_any_log_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(delimited, "MOST_LINES", 5)
    with pytest.raises(FormatError, match=r"more than 5 lines\. Nothing was read\. Add a part"):
        delimited.lines_of(b"1,2\n" * 6, most_bytes=100)


@pytest.mark.parametrize(
    ("header", "count"),
    [("rpm", 1.0), ("engine speed [hz]", 60.0), ("rev/s", 60.0), ("engine speed (1/s)", 60.0), ("rpm x 10", 10.0),
     ("1000/min", 1000.0), ("rpm 10 hz", 1.0), ("n [min-1]", 1.0), ("engine speed [rad/s]", 9.549297)],
)  # fmt: skip
def test_what_one_count_is_stands_in_the_header(header: str, count: float) -> None:
    # A radian a second is 60 / (2 pi) turns a minute: ISO 80000-3.
    assert rpm_per_count(header) == pytest.approx(count)


@pytest.mark.parametrize(
    "text", ["2025/05-04 14:00:00", "31.2.2025 14:00:00", "20251301T000000Z", "2025-05-04T25:00Z"]
)
def test_moments_that_are_none(text: str) -> None:
    assert read_moment(text) is None


@pytest.mark.parametrize("text", ["13:00:00 PM", "0:00:00 AM", "14:60:00", "00:01", "1:2:3", "14:03:05:12"])
def test_clocks_that_are_none(text: str) -> None:
    assert read_clock(text) is None


FIXES = "".join(
    f"B1000{n:02d}4700000N01100000EA0010000100{5000 + n:05d}{180 + n // 20:03d}{600 + n // 10:03d}\n"
    for n in range(40)
)


def test_the_channels_of_a_flight_log() -> None:
    log = read("AXXXTEST\nHFDTE040525\nI033640RPM4143CHT4446EGT\n" + FIXES)
    assert log.kind == "flight log" and log.rpm[:2].tolist() == [5000.0, 5001.0]
    assert (
        log.cht_c is not None and log.egt_c is not None and (log.cht_c[-1], log.egt_c[-1]) == (181.0, 603.0)
    )
    assert "CHT and EGT are taken as °C" in log.remarks[0]


def test_a_flight_log_with_letters_for_a_speed_misses_that_sample() -> None:
    log = read("AXXXTEST\nHFDTE040525\nI033640RPM4143CHT4446EGT\n" + FIXES.replace("05003", "xx003"))
    assert np.isnan(log.rpm[3]) and log.rpm[4] == 5004.0


ROWS = "time;rpm;CHT [C]\n" + "".join(f"{t},5;{5400 + t};90\n" for t in range(30))
PIECES = (
    "\n",
    ";",
    ",",
    "\t",
    " ",
    '"',
    "nan",
    "inf",
    "1e400",
    "-",
    "00:00:00",
    "PM",
    "#",
    "'",
    NBSP,
    "\ufeff",
    "°",
    "Hz",
)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, len(ROWS) - 1), st.sampled_from(PIECES), st.booleans()), max_size=12)
)
def test_no_speed_is_ever_invented(damage: list[tuple[int, str, bool]]) -> None:
    text = ROWS
    for place, piece, over in damage:
        text = text[:place] + piece + text[place + (len(piece) if over else 0) :]
    try:
        log = read(text)
    except FormatError as error:
        assert error.message
        return
    cells = {cell.strip().strip('"') for cell in re.split(r"[;,\t\n| ]", text)} | set(
        re.split(r"[;\n]", text)
    )
    known = numbers([cell.strip() for cell in cells])[0]
    for factor in (1.0, 60.0):
        if np.isin(np.round(log.rpm[np.isfinite(log.rpm)], 6), np.round(known * factor, 6)).all():
            return
    raise AssertionError(f"{log.rpm} holds a speed that does not stand in the file")


@settings(max_examples=300, deadline=None)
@given(
    st.binary(max_size=300),
    st.sampled_from([b"", b"time,rpm\n", b"time rpm\n0 5400\n", b"time;Hz engine\n0;90\n", b"\xff\xfe"]),
)
def test_any_bytes_are_read_or_refused(data: bytes, before: bytes) -> None:
    try:
        log = read(before + data)
    except FormatError:
        return
    assert (np.diff(log.t_s) > 0).all() and log.rpm.size == log.t_s.size


@settings(max_examples=200, deadline=None)
@given(st.text("time,;\t| rpmHz[]0123456789.:-\n'\"#°", max_size=200))
def test_any_text_of_a_table_is_read_or_refused(text: str) -> None:
    try:
        log = read(text)
    except FormatError:
        return
    assert (np.diff(log.t_s) > 0).all()
