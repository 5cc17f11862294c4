"""Loggers whose headers do not tell their columns: what a person says, and how the next file is known."""

from __future__ import annotations

import datetime as dt

import pytest

from tickover.formats.errors import FormatError
from tickover.formats.logger.choice import ColumnChoice, look_at
from tickover.formats.run_up_log import RunUpLog, read_runup_log

DAY = dt.date(2025, 5, 4)


def read(*lines: str, choice: ColumnChoice | None = None) -> RunUpLog:
    return read_runup_log("\n".join(lines).encode(), DAY, choice)


def test_columns_are_taken_as_they_were_told() -> None:
    told = ColumnChoice(time=0, rpm=2, cht=1, time_unit="ms", degrees="deg F", rpm_per_count=60.0)
    log = read("a;b;c", "0;212;33,5", "500;32;34", choice=told)
    assert log.t_s.tolist() == [0.0, 0.5] and log.rpm.tolist() == [2010.0, 2040.0]
    # 212 °F boils water, 32 °F freezes it.
    assert log.cht_c is not None and log.cht_c.tolist() == pytest.approx([100.0, 0.0])


def test_a_look_shows_headers_units_and_first_rows() -> None:
    look = look_at(["Logger 3", "a,b,c", "s,Hz,C", "0,33,90", "1,34"])
    assert [column.header for column in look.columns] == ["a [s]", "b [Hz]", "c [C]"]
    assert look.rows == (("0", "33", "90"), ("1", "34", ""))


def test_the_same_headers_are_known_however_they_are_spaced() -> None:
    one, two, other = (look_at([head, "0,1,2"]).fingerprint for head in ("a,B c,d", "A , b  C,d", "a,b,d"))
    assert one == two != other


@pytest.mark.parametrize(
    ("choice", "says"),
    [
        ({"time": 1, "rpm": 1}, "cannot be one column"),
        ({"time": 0, "rpm": 1, "rpm_per_count": 0.0}, "must be"),
        ({"time": 0, "rpm": 1, "time_unit": "h"}, "no unit"),
    ],
)
def test_a_choice_that_cannot_be_is_refused(choice: dict[str, object], says: str) -> None:
    with pytest.raises(FormatError, match=says):
        ColumnChoice(**choice)  # type: ignore[arg-type]


def test_a_column_the_table_does_not_have() -> None:
    with pytest.raises(FormatError, match="number 9; the table has 2"):
        read("a,b", "0,1", choice=ColumnChoice(0, 8))


@pytest.mark.parametrize("lines", [("words only",), ("a,b", "c,d", "e,f"), ("1,2", "3,4")])
def test_what_is_no_table_with_headers_is_not_asked_about(lines: tuple[str, ...]) -> None:
    with pytest.raises(FormatError, match="no table with a line of headers"):
        look_at(lines)


def test_a_flight_log_with_an_rpm_channel_is_a_run_up() -> None:
    fixes = [
        f"B{10:02d}{n // 60:02d}{n % 60:02d}4700000N01100000EA0010000100{5000 + n:05d}" for n in range(40)
    ]
    log = read("AXXXTEST", "HFDTE040525", "I013640RPM", *fixes)
    assert log.kind == "flight log" and log.rpm[:2].tolist() == [5000.0, 5001.0]


def test_a_flight_log_without_an_rpm_channel_says_which_it_has() -> None:
    fixes = [f"B{10:02d}00{n:02d}4700000N01100000EA0010000100{100 + n:03d}" for n in range(40)]
    with pytest.raises(FormatError, match=r"no rpm channel \(channels in it: ENL\)"):
        read("AXXXTEST", "HFDTE040525", "I013638ENL", *fixes)


@pytest.mark.parametrize(
    ("data", "says"), [(b"", "empty"), (b"\x89PNG\r\n", "a PNG picture"), (b"PK\x03\x04", "a ZIP archive")]
)
def test_a_renamed_file_is_told_by_what_it_holds(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=says):
        read_runup_log(data, DAY)
