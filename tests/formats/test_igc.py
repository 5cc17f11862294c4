"""Reading flight logs in the IGC format.

The layouts written here follow FAI, Technical Specification for GNSS Flight Recorders, appendix A.
"""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.formats import igc
from tickover.formats.errors import FormatError
from tickover.formats.igc import TrackLog, read_igc

HEAD = "AXXX001\r\nHFDTE240625\r\n"


def fix(time: str, more: str = "", *, lat: str = "5206343N", lon: str = "00006198W", mark: str = "A") -> str:
    return f"B{time}{lat}{lon}{mark}0058700558{more}\r\n"


def log(*lines: str, head: str = HEAD) -> TrackLog:
    return read_igc("".join((head, *lines)).encode())


def reasons(track: TrackLog) -> list[tuple[int, str]]:
    return [(damage.line, damage.reason) for damage in track.damaged]


def test_a_fix_is_read_by_its_columns() -> None:
    track = log(fix("110135"))
    assert track.date == dt.date(2025, 6, 24)
    assert track.t_s.tolist() == [11 * 3600 + 1 * 60 + 35]
    assert track.lat_deg[0] == pytest.approx(52 + 6.343 / 60, abs=1e-12)
    assert track.lon_deg[0] == pytest.approx(-6.198 / 60, abs=1e-12)
    assert (track.pressure_altitude_m[0], track.gnss_altitude_m[0]) == (587, 558)
    assert track.valid.tolist() == [True]
    assert track.start == track.end == dt.datetime(2025, 6, 24, 11, 1, 35, tzinfo=dt.UTC)


def test_a_fix_marked_v_is_kept_and_told_apart() -> None:
    assert log(fix("110135"), fix("110136", mark="V")).valid.tolist() == [True, False]


def test_altitudes_below_the_sea_are_negative() -> None:
    track = log("B1101355206343N00006198WA-0042-0007\r\n")
    assert (track.pressure_altitude_m[0], track.gnss_altitude_m[0]) == (-42, -7)


def test_the_i_record_names_what_follows_the_fix() -> None:
    head = HEAD + "I033638ENL3941MOP4246RPM\r\n"
    track = log(fix("110135", "85001206200"), fix("110136", "45x-1200000"), fix("110137", "450"), head=head)
    assert track.extensions["ENL"].tolist()[0::2] == [850, 450]
    assert math.isnan(track.extensions["ENL"][1])
    assert track.extensions["MOP"].tolist()[:2] == [12, -12]
    assert track.extensions["RPM"].tolist()[:2] == [6200, 0]
    assert math.isnan(track.extensions["MOP"][2])
    assert not track.damaged


def test_a_damaged_extra_digit_leaves_the_fix_as_it_is() -> None:
    track = log(fix("110135", "-2x"), head=HEAD + "I023637TDS3838LAD\r\n")
    assert track.t_s[0] == 39695
    assert track.lat_deg[0] == pytest.approx(52 + 6.343 / 60, abs=1e-12)


def test_seconds_and_minutes_gain_digits_by_extension() -> None:
    head = HEAD + "I033637TDS3838LAD3939LOD\r\n"
    track = log(fix("110135", "2575"), head=head)
    assert track.t_s[0] == pytest.approx(39695.25)
    assert track.lat_deg[0] == pytest.approx(52 + 6.3437 / 60, abs=1e-12)
    assert track.lon_deg[0] == pytest.approx(-6.1985 / 60, abs=1e-12)
    assert not track.extensions


@pytest.mark.parametrize(
    "line",
    [
        "HFDTE240625",
        "HFDTEDATE:240625",
        "HFDTEDATE:240625,01",
        "HFDTEDATE: 240625",
        "HFDTEDATE: 24 06 25",
        "HFDTE: 24.06.2025",
        "HODTE240625",
        "HFdte240625",
    ],
)
def test_the_date_is_read_in_the_forms_that_are_found(line: str) -> None:
    assert log(fix("110135"), head=f"AXXX001\r\n{line}\r\n").date == dt.date(2025, 6, 24)


def test_a_year_of_the_last_century_is_one() -> None:
    assert log(fix("110135"), head="HFDTE160798\n").date == dt.date(1998, 7, 16)


def test_a_missing_date_is_named_and_can_be_given() -> None:
    data = fix("110135").encode()
    with pytest.raises(FormatError, match=r"H record with the date .* is missing"):
        read_igc(data)
    assert read_igc(data, date=dt.date(2025, 1, 2)).date == dt.date(2025, 1, 2)


def test_a_date_that_is_none_is_named_with_its_line() -> None:
    with pytest.raises(FormatError, match='Line 2: "HFDTE310225" is not a date') as caught:
        log(fix("110135"), head="AXXX001\nHFDTE310225\n")
    assert caught.value.line == 2


def test_a_given_date_goes_before_the_one_of_the_file() -> None:
    assert read_igc((HEAD + fix("110135")).encode(), date=dt.date(2024, 2, 29)).date == dt.date(2024, 2, 29)


def test_time_runs_on_through_midnight() -> None:
    track = log(fix("235958"), fix("235959"), fix("000001"))
    assert np.diff(track.t_s).tolist() == [1, 2]
    assert track.end == dt.datetime(2025, 6, 25, 0, 0, 1, tzinfo=dt.UTC)


def test_twelve_hours_back_are_not_midnight() -> None:
    track = log(fix("200000"), fix("200001"), fix("080001"))
    assert track.t_s.size == 2
    assert reasons(track) == [(5, "the time 080001 repeats or goes back before another fix")]


def test_repeated_times_keep_the_first_fix() -> None:
    track = log(fix("110135"), fix("110136"), fix("110136", lat="4700000N"), fix("110137"))
    assert track.t_s.size == 3
    assert track.lat_deg.min() > 52
    assert [line for line, _ in reasons(track)] == [5]


@pytest.mark.parametrize("wrong", ["150136", "230136", "000136"])
def test_one_wrong_time_costs_one_fix(wrong: str) -> None:
    times = [f"1101{second:02d}" for second in range(30)]
    times[12] = wrong
    track = log(*(fix(time) for time in times))
    assert track.t_s.size == 29
    assert [line for line, _ in reasons(track)] == [15]
    assert track.end - track.start == dt.timedelta(seconds=29)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("B1101355206343N00006198W", "the fix ends after 24 of 35 characters"),
        ("B2401355206343N00006198WA0058700558", 'the time reads "240135"'),
        ("B1101359106343N00006198WA0058700558", 'the latitude reads "9106343N"'),
        ("B1101355260000N00006198WA0058700558", 'the latitude reads "5260000N"'),
        ("B1101355206343X00006198WA0058700558", 'the latitude reads "5206343X"'),
        ("B1101355206343N18100000WA0058700558", 'the longitude reads "18100000W"'),
        ("B1101355206343N00006198WX0058700558", 'the validity reads "X"'),
        ("B1101355206343N00006198WA0?58700558", 'the pressure altitude reads "0?587"'),
        ("B1101355206343N00006198WA0058700-58", 'the GNSS altitude reads "00-58"'),
        ("?$%&", "the line does not begin with the letter of a record"),
    ],
)
def test_a_damaged_line_is_left_out_and_listed(line: str, reason: str) -> None:
    track = log(fix("110134"), line + "\r\n", fix("110136"))
    assert track.t_s.size == 2
    assert reasons(track) == [(4, reason)]
    assert track.damaged[0].text == line


def test_the_list_of_damage_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(igc, "DAMAGE_LIMIT", 3)
    track = log(fix("110134"), *["B11\r\n"] * 10)
    assert len(track.damaged) == 4
    assert reasons(track)[-1] == (7, "7 more damaged lines from here on are not listed")


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r", "  \r\n", "\n\n"])
def test_lines_may_end_in_any_way(ending: str) -> None:
    lines = (HEAD + fix("110135") + fix("110136")).split("\r\n")
    track = read_igc(ending.join(lines).encode())
    assert track.t_s.size == 2
    assert not track.damaged


def test_line_endings_may_be_mixed_and_the_last_one_missing() -> None:
    text = HEAD.replace("\r\n", "\n") + fix("110135") + fix("110136").replace("\r\n", "\r") + fix("110137")
    assert read_igc(text.rstrip().encode()).t_s.size == 3


def test_a_byte_order_mark_and_names_in_any_alphabet_are_read() -> None:
    text = "HFDTE240625\nHFPLTPILOTINCHARGE:Zoë Ąxelsdóttir\nHFGIDGLIDERID: X-1\n" + fix("110135")
    track = read_igc(b"\xef\xbb\xbf" + text.encode())
    assert track.headers["PLT"] == "Zoë Ąxelsdóttir"
    assert track.headers["GID"] == "X-1"
    assert read_igc(text.replace("Ą", "A").encode("latin-1")).headers["PLT"] == "Zoë Axelsdóttir"


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The file is empty"),
        (b" \r\n\r\n", "The file is empty"),
        (b"\x89PNG\r\n\x1a\n....", "looks like a PNG picture"),
        (b"%PDF-1.7\n", "looks like a PDF document"),
        (b"PK\x03\x04....", "looks like a ZIP archive, .* Unpack it"),
        (b'<?xml version="1.0"?>\n<gpx version="1.1">', "looks like a GPX track"),
        (b"time,lat,lon\n1,2,3\n", r"looks like a table \(CSV\)"),
        (b"\0\1\2\3" * 30, "looks like a binary file"),
        (b"dear all\nBefore noon\n", "Line 2: none of the 1 B records can be read"),
        (b"AXXX001\nHFDTE240625\n", "has no B record"),
    ],
)
def test_what_is_no_flight_log_is_refused_by_name(data: bytes, sentence: str) -> None:
    with pytest.raises(FormatError, match=sentence):
        read_igc(data)


def test_a_file_of_empty_lines_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(igc, "LINE_LIMIT", 100)
    with pytest.raises(FormatError, match="has more than 100 lines"):
        log(fix("110135"), "\n" * 200)


def test_a_file_too_large_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(igc, "SIZE_LIMIT_BYTES", 1024 * 1024)
    with pytest.raises(FormatError, match=r"has 2 MB; a flight log may have 1 MB at most. Nothing was read"):
        read_igc(b"B" * 2 * 1024 * 1024)


@given(
    st.integers(0, 86_399),
    st.integers(-90 * 60_000, 90 * 60_000),
    st.integers(-180 * 60_000, 180 * 60_000),
    st.integers(-9999, 99_999),
    st.integers(0, 999),
    st.booleans(),
)
def test_what_is_written_is_read_back(
    t_s: int, lat: int, lon: int, height: int, noise: int, good: bool
) -> None:
    north, east = "NS"[lat < 0], "EW"[lon < 0]
    line = (
        f"B{t_s // 3600:02d}{t_s // 60 % 60:02d}{t_s % 60:02d}"
        f"{abs(lat) // 60_000:02d}{abs(lat) % 60_000:05d}{north}"
        f"{abs(lon) // 60_000:03d}{abs(lon) % 60_000:05d}{east}"
        f"{'VA'[good]}{height:05d}{height:05d}{noise:03d}\r\n"
    )
    track = log(line, head=HEAD + "I013638ENL\r\n")
    assert track.t_s[0] == t_s
    assert track.lat_deg[0] == pytest.approx(lat / 60_000, abs=1e-11)
    assert track.lon_deg[0] == pytest.approx(lon / 60_000, abs=1e-11)
    assert track.gnss_altitude_m[0] == track.pressure_altitude_m[0] == height
    assert track.extensions["ENL"][0] == noise
    assert track.valid[0] == good


SOUND = (HEAD + "I023638ENL3939LAD\r\n" + "".join(fix(f"1101{s:02d}", "4507") for s in range(40))).encode()


@given(st.lists(st.tuples(st.integers(0, len(SOUND) - 1), st.binary(max_size=3)), max_size=30))
@settings(max_examples=300)
def test_random_damage_costs_lines_and_never_more(damage: list[tuple[int, bytes]]) -> None:
    data = bytearray(SOUND)
    for place, put in damage:
        data[place : place + 1] = put
    try:
        track = read_igc(bytes(data))
    except FormatError as error:
        assert error.message.endswith(".")
        return
    assert (np.diff(track.t_s) > 0).all()
    assert np.isfinite([track.t_s, track.lat_deg, track.lon_deg, track.gnss_altitude_m]).all()
    assert (np.abs(track.lat_deg) <= 90).all()
    assert all(0 < found.line <= data.count(b"\n") + data.count(b"\r") + 1 for found in track.damaged)


@given(st.binary(max_size=400))
@settings(max_examples=300)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for attempt in (data, b"HFDTE240625\nB" + data, data + fix("110135").encode()):
        try:
            read_igc(attempt)
        except FormatError:
            continue


@given(st.text("0123456789NSEWAV-B ", min_size=30, max_size=40))
@settings(max_examples=500)
def test_a_line_left_out_has_a_field_to_blame(text: str) -> None:
    track = log(fix("110134"), f"B{text}\r\n")
    assert all(damage.reason != "the fix cannot be read" for damage in track.damaged)
