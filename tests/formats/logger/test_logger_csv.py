"""Engine loggers' tables: which column is which, which clock it is, what is left out."""

from __future__ import annotations

import datetime as dt
import time
import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.formats.errors import FormatError
from tickover.formats.logger import csv_table
from tickover.formats.logger.csv_table import LoggerLog, read_logger_csv
from tickover.science.engine_time.from_log import from_track

DAY = dt.date(2025, 5, 4)


def log(*lines: str, date: dt.date | None = DAY, end: str = "\n") -> LoggerLog:
    return read_logger_csv(end.join(lines).encode(), date=date)


def reasons(read: LoggerLog) -> list[tuple[int, str]]:
    return [(damage.line, damage.reason) for damage in read.damaged]


def test_seconds_and_speed_become_arrays() -> None:
    read = log("Time [s],RPM", "0,0", "0.1,5400", "0.2,5410.5")
    assert (read.date, read.t_s.tolist()) == (DAY, [0.0, 0.1, 0.2])
    assert read.extensions["RPM"].tolist() == [0.0, 5400.0, 5410.5]
    assert np.isnan(read.lat_deg).all() and not read.valid.any()
    assert read.headers == {"TIME": 'column 1, "Time [s]"', "RPM": 'column 2, "RPM"'}
    assert read.remarks[0] == 'Engine speed from column 2, "RPM", time from column 1, "Time [s]".'


@pytest.mark.parametrize(
    "header",
    [
        "rpm", "RPM", "Rpm (1/min)", "1/min", "r/min", "rev/min", "U/min", "n [U/min]", "Engine speed",
        "engine_speed", "EngRPM", "Engine RPM", "Drehzahl", "Motordrehzahl [1/min]", "n (min-1)", "min⁻¹",
        "Tacho",
    ],
)  # fmt: skip
def test_a_speed_is_known_by_its_header(header: str) -> None:
    read = log(f"time;{header}", "0;5400")
    assert read.headers["RPM"] == f'column 2, "{header}"'


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_any_delimiter_and_any_ending_of_lines(mark: str, end: str) -> None:
    read = log(
        *(line.replace("|", mark) for line in ("time|rpm|note", "1|5400|", "2|5500|warm", "")), end=end
    )
    assert read.extensions["RPM"].tolist() == [5400.0, 5500.0]


def test_a_decimal_comma() -> None:
    read = log("Zeit [s];Drehzahl [1/min]", "0,1;5400,25", "0,2;5401")
    assert (read.t_s.tolist(), read.extensions["RPM"].tolist()) == ([0.1, 0.2], [5400.25, 5401.0])


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_any_characters(coding: str) -> None:
    data = "Zeit [s];Drehzahl;Öltemp. °C\n0;5400;60\n".encode(coding)
    assert read_logger_csv(data, date=DAY).extensions["RPM"].tolist() == [5400.0]


def test_two_lines_of_headers_and_a_title_before_them() -> None:
    read = log("Recorder 7, serial 12", "", "time;engine speed;CHT", "s;1/min;°C", "5;5400;92")
    assert read.headers == {
        "TIME": 'column 1, "time [s]"',
        "RPM": 'column 2, "engine speed [1/min]"',
        "CHT": 'column 3, "CHT [°C]"',
    }


def test_quoted_fields() -> None:
    read = log('"time","rpm","note"', '"1","5400","warm, at last"', '"2","5500","so ""far"""')
    assert read.extensions["RPM"].tolist() == [5400.0, 5500.0]


def test_a_quotation_mark_left_open_costs_its_line() -> None:
    read = log("time,rpm,note", '1,5400,"left open', "2,5500,", "3,5500,")
    assert reasons(read) == [(2, "A quotation mark is not closed, or text follows it.")]
    assert read.t_s.tolist() == [2.0, 3.0]


def test_a_clock_runs_on_through_midnight() -> None:
    read = log("time,rpm", "23:59:58,5400", "23:59:59.5,5400", "0:00:01,5400")
    assert (read.date, read.t_s.tolist()) == (DAY, [86_398.0, 86_399.5, 86_401.0])
    assert "The clock of this log is taken as UTC." in read.remarks


@pytest.mark.parametrize(
    ("first", "zoned"),
    [
        ("2025-05-04T14:03:00Z", True),
        ("2025-05-04 14:03:00.000", False),
        ("2025-05-04T16:03:00+02:00", True),
        ("2025-05-04 14:03", False),
    ],
)
def test_moments_need_no_date(first: str, zoned: bool) -> None:
    read = log("Timestamp;rpm", f"{first};5400", date=None)
    assert read.start == dt.datetime(2025, 5, 4, 14, 3, tzinfo=dt.UTC)
    assert ("The clock of this log is taken as UTC." in read.remarks) is not zoned


def test_seconds_since_1970_need_no_date() -> None:
    # 1 746 367 380 s is 2025-05-04 14:03:00 UTC: 20 212 days of 86 400 s and 50 580 s, by hand.
    for head, factor in (("time [s]", 1), ("time [ms]", 1000)):
        read = log(f"{head},rpm", f"{1_746_367_380 * factor},5400", date=None)
        assert read.start == dt.datetime(2025, 5, 4, 14, 3, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("unit", "value"), [("ms", "60000"), ("s", "60"), ("min", "1"), ("h", "0.0166666667")]
)
def test_the_unit_of_the_time_is_in_its_header(unit: str, value: str) -> None:
    assert log(f"time [{unit}],rpm", f"{value},5400").t_s[0] == pytest.approx(60.0)


@pytest.mark.parametrize("day", ["2025-05-04", "4.5.2025", "04.05.2025"])
def test_the_day_may_stand_in_a_column(day: str) -> None:
    assert log("date,time,rpm", f"{day},14:03:00,5400", date=None).start.date() == DAY


@pytest.mark.parametrize(
    "line", ["Start: 2025-05-04 14:03:00", "recorded 2025-05-04T14:03:00", "4.5.2025, 14:03:00"]
)
def test_the_day_and_the_start_may_stand_above_the_headers(line: str) -> None:
    read = log("Logger", line, "seconds;rpm", "0;5400", "1;5400", date=None)
    assert read.start == dt.datetime(2025, 5, 4, 14, 3, tzinfo=dt.UTC)


def test_without_a_clock_the_log_says_so() -> None:
    assert "The log counts from its own start; no clock is in it." in log("t [s],rpm", "0,5400").remarks


def test_a_missing_sample_is_no_damage() -> None:
    read = log("time,rpm", "1,5400", "2,", "3,-", "4,NaN", "5,5400")
    assert np.isnan(read.extensions["RPM"]).tolist() == [False, True, True, True, False]
    assert read.damaged == ()


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("9,stall", 'the rpm (column 2, "rpm") reads "stall"'),
        ("9,54OO", 'the rpm (column 2, "rpm") reads "54OO"'),
        ("9,65535", 'the rpm (column 2, "rpm") reads "65535"'),
        ("9,-20", 'the rpm (column 2, "rpm") reads "-20"'),
        ("9,1_000", 'the rpm (column 2, "rpm") reads "1_000"'),
        ("nine,5400", 'the time (column 1, "time") reads "nine"'),
        (",5400", 'the time (column 1, "time") reads ""'),
        ("9", "the line has 1 fields, the header 2"),
        ("9,5,400", "the line has 3 fields, the header 2"),
        ("1.5,5400", "the time 1.5 goes back before another row"),
        ("99999999,5400", "the time 99999999 lies days off the others"),
    ],
)
def test_a_damaged_line_costs_that_line_and_is_listed_with_its_field(line: str, why: str) -> None:
    rows = [f"{t},5400" for t in range(1, 8)]
    read = log("time,rpm", *rows, line, *(f"{t},5400" for t in range(10, 20)))
    assert reasons(read) == [(9, why)]
    assert read.t_s.size == 17


def test_rows_of_one_second_keep_the_first_and_are_counted() -> None:
    read = log("time,rpm", *(f"14:00:0{n // 10},{5400 + n}" for n in range(30)))
    assert (read.extensions["RPM"].tolist(), read.damaged) == ([5400.0, 5410.0, 5420.0], ())
    assert "27 rows repeat the time of another and are left out." in read.remarks


def test_temperatures_are_told_in_celsius() -> None:
    read = log("time,rpm,CHT [°C],CHT right (F),EGT_F,oil", "1,5400,92.5,212,1202,60", "2,5400,,x,-,")
    assert read.extensions["CHT"][0] == 92.5
    # 212 °F is the boiling point of water, 100 °C; 1202 °F is 650 °C by the same definition.
    assert read.extensions["CHT2"][0] == pytest.approx(100.0)
    assert read.extensions["EGT"][0] == pytest.approx(650.0)
    assert np.isnan([read.extensions[c][1] for c in ("CHT", "CHT2", "EGT")]).all()
    assert reasons(read) == [
        (3, 'the CHT2 (column 4, "CHT right (F)") reads "x"; only this value is left out')
    ]


def test_a_temperature_without_a_unit_is_not_guessed() -> None:
    read = log("time,rpm,CHT", "1,5400,92")
    assert "CHT" not in read.extensions
    assert read.remarks[-1] == 'The CHT (column 3, "CHT") is not used: its header says neither °C nor °F.'


def test_a_propeller_s_speed_is_not_the_engine_s() -> None:
    assert log("time,Prop RPM,RPM,RPM limit", "1,2000,5400,6500").extensions["RPM"].tolist() == [5400.0]


def test_a_column_that_names_the_engine_goes_before_another() -> None:
    assert log("time,RPM aux,Engine RPM", "1,100,5400").extensions["RPM"].tolist() == [5400.0]


def test_a_moment_goes_before_a_clock_and_that_before_seconds() -> None:
    read = log("elapsed,time,timestamp,rpm", "1,14:00:00,2025-05-04T15:00:00Z,5400")
    assert read.headers["TIME"] == 'column 3, "timestamp"'
    assert log("elapsed,time,rpm", "1,14:00:00,5400").headers["TIME"] == 'column 2, "time"'


REFUSED = {
    "empty": (b"\xef\xbb\xbf\r\n", "empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0" * 30, "PNG picture, not a table"),
    "no speed": (b"time,value\n1,2\n", r'No column for engine speed.*Columns seen: "time", "value"\.'),
    "two speeds": (b"time,RPM 1,RPM 2\n1,2,3\n", 'column 2, "RPM 1" or column 3, "RPM 2"'),
    "only the propeller's": (b"time,prop rpm\n1,2\n", 'Columns seen: "time", "prop rpm"'),
    "no time": (b"temp,rpm\n1,2\n", r'No column for time.*Columns seen: "temp", "rpm"\.'),
    "time in words": (b"time,rpm\nnoon,2\n", "No column for time"),
    "two times": (b"time 1,time 2,rpm\n1,2,3\n", "not clear which column holds the time"),
    "one column": (b"rpm\n5400\n", "No line with more than one column"),
    "no rows": (b"time,rpm\n", "headers and no rows"),
    "decimal commas between commas": (b"time,rpm\n0,1,5400\n0,2,5400\n", "Line 2: here|2 lines do not fit"),
    "text for speed": (b"time,rpm\n1,a\n2,b\n", 'Line 2: no row can be read.*the rpm .* reads "a"'),
    "thousands or decimals": (b"time;rpm\n1;850\n2;5,400\n", "Line 3: the rpm .* can mean 5400 or 5.400"),
    "days": (b"time,rpm\n" + b"".join(b"%d,1\n" % (n * 90000) for n in range(20)), "over 20 days.*unit"),
}  # fmt: skip


@pytest.mark.parametrize(("data", "says"), REFUSED.values(), ids=list(REFUSED))
def test_what_cannot_be_read_is_refused_in_words(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=says):
        read_logger_csv(data, date=DAY)


def test_a_clock_without_a_date_asks_for_one() -> None:
    with pytest.raises(FormatError, match=r"no date\. Write when the log starts in a line above"):
        log("time,rpm", "14:00:00,5400", date=None)


@pytest.mark.parametrize("first", ["0", "00:00:00.1"])
@pytest.mark.parametrize("above", ["", "flight of 2025-05-04"])
def test_a_log_that_counts_from_its_own_start_asks_when_that_was(first: str, above: str) -> None:
    # Put at midnight, it would count beside the track log of the same flight.
    with pytest.raises(
        FormatError,
        match=r"count from the start of the log, and no start time is given\. Write it in a line above",
    ):
        log(above, "time,rpm", f"{first},5400", date=None)


def test_a_stop_watch_is_put_on_the_clock_above_it() -> None:
    read = log("2025-05-04 14:03:00", "time,rpm", "00:00:00,0", "00:00:01,5400", date=None)
    assert read.t_s.tolist() == [50_580.0, 50_581.0]


def test_a_day_that_can_be_read_in_two_ways_is_refused() -> None:
    with pytest.raises(
        FormatError, match=r'Line 2: the day .* "04/05/2025" can be read in more than one way'
    ):
        log("date,time,rpm", "04/05/2025,14:00:00,5400", date=None)


def test_three_decimals_are_decimals_once_a_thousand_is_passed() -> None:
    assert log("time,rpm", "1,850.125", "2,5400.250").extensions["RPM"].tolist() == [850.125, 5400.25]


def test_a_file_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_table, "SIZE_LIMIT_BYTES", 10)
    with pytest.raises(FormatError, match="at most"):
        log("time,rpm", "1,5400")


def test_engine_time_comes_from_the_rpm_channel() -> None:
    rows = [f"{t},{5400 if 600 <= t < 4200 else 0}" for t in range(0, 5000, 1)]
    read = log("time [s],rpm", *rows)
    found = from_track(read.t_s, read.lat_deg, read.lon_deg, read.extensions)
    assert (found.grade, found.method, found.starts) == ("logger", "rpm channel", 1)
    assert found.duration_h == pytest.approx(1.0, abs=1 / 3600)


def test_a_long_log_takes_little_memory_beyond_its_own_lines() -> None:
    data = (
        "time [s],rpm,CHT [C],EGT [C]\n" + "".join(f"{n / 50:.2f},5400,95,640\n" for n in range(60_000))
    ).encode()
    tracemalloc.start()
    assert read_logger_csv(data, date=DAY).t_s.size == 60_000
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # Its lines as text take some 120 bytes a row, its columns another 100; lists of all cells would take 490 in all.
    assert peak / 60_000 < 330.0


def test_two_hours_at_ten_samples_a_second_are_read_in_under_a_second() -> None:
    rows = [
        f"{n / 10:.1f};{5400 + n % 90};{90 + n % 7},5;{640 + n % 9}".replace(".", ",") for n in range(72_000)
    ]
    data = "\n".join(["Zeit [s];Drehzahl;CHT [°C];EGT [°C]", *rows]).encode()
    began = time.process_time()
    assert read_logger_csv(data, date=DAY).t_s.size == 72_000
    assert time.process_time() - began < 1.0


@given(
    st.lists(
        st.tuples(st.integers(0, 80_000_000), st.integers(0, 12_000)),
        min_size=1,
        max_size=30,
        unique_by=lambda r: r[0],
    ),
    st.sampled_from([(",", "."), (";", ","), ("\t", ".")]),
)
def test_what_is_written_is_read_back(rows: list[tuple[int, int]], marks: tuple[str, str]) -> None:
    rows.sort()
    lines = [f"{ms / 1000:.3f}{{}}{rpm}".replace(".", marks[1]).format(marks[0]) for ms, rpm in rows]
    read = log(f"time [s]{marks[0]}rpm", *lines)
    assert read.t_s.tolist() == pytest.approx([ms / 1000 for ms, _ in rows], abs=1e-5)
    assert read.extensions["RPM"].tolist() == [float(rpm) for _, rpm in rows]


SOUND = ("time [s];rpm;CHT [C]\n" + "".join(f"{t},5;{5400 + t};90\n" for t in range(40))).encode()


@given(st.lists(st.tuples(st.integers(0, len(SOUND) - 1), st.binary(max_size=3)), max_size=20))
@settings(max_examples=300)
def test_random_damage_raises_format_errors_only(damage: list[tuple[int, bytes]]) -> None:
    data = bytearray(SOUND)
    for place, put in damage:
        data[place : place + 1] = put
    try:
        read = read_logger_csv(bytes(data), date=DAY)
    except FormatError as error:
        assert error.message.endswith(".")
        return
    assert (np.diff(read.t_s) > 0).all()
    assert {values.size for values in read.extensions.values()} == {read.t_s.size}


@given(st.binary(max_size=200))
@settings(max_examples=300)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for attempt in (data, b"time,rpm\n" + data, b"time;rpm\n1;5400\n" + data):
        try:
            read_logger_csv(attempt, date=DAY)
        except FormatError:
            continue
