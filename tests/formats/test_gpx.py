"""GPX tracks: what is read, what is left out, what is refused."""

from __future__ import annotations

import datetime as dt
import time
from encodings.aliases import aliases

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.formats import gpx
from tickover.formats.errors import FormatError
from tickover.formats.gpx import read_gpx
from tickover.formats.igc import TrackLog
from tickover.science.engine_time.from_log import from_track

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="any" xmlns="http://www.topografix.com/GPX/1/1">'


def point(moment: str, lat: object = 52.5, lon: object = 14.05, ele: object = 120) -> str:
    inside = f"<ele>{ele}</ele>" if ele != "" else ""
    return f'<trkpt lat="{lat}" lon="{lon}">{inside}{f"<time>{moment}</time>" if moment else ""}</trkpt>\n'


def track(*points: str, head: str = HEAD) -> bytes:
    return f"{head}\n<trk><trkseg>\n{''.join(points)}</trkseg></trk></gpx>".encode()


def reasons(log: TrackLog) -> list[tuple[int, str]]:
    return [(damage.line, damage.reason) for damage in log.damaged]


A, B = point("2025-05-04T10:00:00Z"), point("2025-05-04T10:00:05Z", 52.501, 14.06, 121.5)


def test_points_become_arrays_from_midnight_utc() -> None:
    log = read_gpx(track(A, B))
    assert (log.date, log.t_s.tolist()) == (dt.date(2025, 5, 4), [36_000.0, 36_005.0])
    assert (log.lat_deg.tolist(), log.lon_deg.tolist()) == ([52.5, 52.501], [14.05, 14.06])
    assert log.gnss_altitude_m.tolist() == [120.0, 121.5]
    assert np.isnan(log.pressure_altitude_m).all() and log.valid.all()
    assert log.start == dt.datetime(2025, 5, 4, 10, tzinfo=dt.UTC)
    assert (log.extensions, log.damaged, log.headers["version"]) == ({}, (), "1.1")


@pytest.mark.parametrize(
    ("written", "second"),
    [
        ("2025-05-04T10:00:07Z", 7.0),
        ("2025-05-04T10:00:07.250Z", 7.25),
        ("2025-05-04T12:00:07+02:00", 7.0),
        ("2025-05-04T10:00:07", 7.0),
        (" 2025-05-04T10:00:07Z\n", 7.0),
        ("2025-05-04T05:30:07-04:30", 7.0),
    ],
)
def test_a_time_is_read_as_iso_8601_has_it(written: str, second: float) -> None:
    # Offsets and fractions: W3C, XML Schema part 2, section 3.2.7 (dateTime), which GPX 1.1 names.
    assert read_gpx(track(A, point(written))).t_s[1] == 36_000.0 + second


def test_tracks_and_segments_are_joined() -> None:
    body = f"<trk><trkseg>{A}</trkseg><trkseg>{B}</trkseg></trk><trk><trkseg>{point('2025-05-04T10:01:00Z')}"
    assert read_gpx(f"{HEAD}{body}</trkseg></trk></gpx>".encode()).t_s.size == 3


# Every codec of Python, and names that stand for none.
ENCODINGS = sorted(
    {*aliases.values(), "utf-7", "UTF7", "idna", "undefined", "iso-8859-99", "iso-8859-0", "windows-1259"}
)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_whatever_encoding_is_named_a_track_is_read_or_refused(encoding: str) -> None:
    text = track(A, B).decode().replace("UTF-8", encoding)
    for data in (text.encode(), text.encode("utf-16")):
        try:
            assert read_gpx(data).t_s.size == 2
        except FormatError as error:
            assert "encoding" in str(error) and "Add the .gpx file" in str(error)


@pytest.mark.parametrize("encoding", ["utf-8", "US-ASCII", "iso-8859-15", "Windows-1252", "windows-1250"])
def test_encodings_that_recorders_write_are_read(encoding: str) -> None:
    assert read_gpx(track(A, B).decode().replace("UTF-8", encoding).encode()).t_s.size == 2


def test_a_flight_through_midnight_runs_on() -> None:
    log = read_gpx(track(point("2024-12-31T23:59:58Z"), point("2025-01-01T00:00:02Z")))
    assert (log.date, log.t_s.tolist()) == (dt.date(2024, 12, 31), [86_398.0, 86_402.0])


@pytest.mark.parametrize(
    "head",
    [
        '<gpx version="1.0" creator="any" xmlns="http://www.topografix.com/GPX/1/0">',
        '<gpx version="1.1">',
        '<gpx xmlns="urn:of:somebody">',
        '\ufeff<?xml version="1.0"?><gpx version="1.1">',
    ],
)
def test_any_namespace_or_none_will_do(head: str) -> None:
    assert read_gpx(track(A, B, head=head)).t_s.size == 2


def test_prefixed_names_are_read() -> None:
    data = track(A, B).decode().replace("<", "<g:").replace("<g:/", "</g:").replace("<g:?", "<?")
    assert read_gpx(data.replace("xmlns=", "xmlns:g=").encode()).t_s.size == 2


def test_other_characters_are_read() -> None:
    text = track(A, B).decode()
    assert read_gpx(text.replace("any", "Kärnten").encode()).headers["creator"] == "Kärnten"
    in_utf16 = text.replace("UTF-8", "UTF-16").encode("utf-16")
    in_latin1 = text.replace("UTF-8", "ISO-8859-1").replace("any", "Kärnten").encode("latin-1")
    assert read_gpx(in_utf16).t_s.size == 2
    assert read_gpx(in_latin1).headers["creator"] == "Kärnten"


def test_a_time_inside_extensions_is_not_the_time_of_the_point() -> None:
    inner = A.replace("</trkpt>", "<extensions><time>1999-01-01T00:00:00Z</time></extensions></trkpt>")
    assert read_gpx(track(inner, B)).t_s[0] == 36_000.0


@pytest.mark.parametrize(
    ("damaged", "why"),
    [
        (point(""), "the point has no time"),
        (point("half past ten"), 'the time reads "half past ten"'),
        (point("2025-02-30T10:00:01Z"), 'the time reads "2025-02-30T10:00:01Z"'),
        (point("2025-05-04"), 'the time reads "2025-05-04"'),
        (point("2025-05-04T10:00:01Z", 91), 'the latitude reads "91"'),
        (point("2025-05-04T10:00:01Z", "nan"), 'the latitude reads "nan"'),
        (point("2025-05-04T10:00:01Z", "5_2"), 'the latitude reads "5_2"'),
        (point("2025-05-04T10:00:01Z", 52, -180.1), 'the longitude reads "-180.1"'),
        (point("2025-05-04T10:00:01Z", 52, ""), 'the longitude reads ""'),
        (
            point("2025-05-04T10:00:00Z"),
            "the time 2025-05-04T10:00:00Z repeats or goes back before another point",
        ),
        (point("2001-01-01T00:00:00Z"), "the time 2001-01-01T00:00:00Z lies days off the others"),
    ],
)
def test_a_damaged_point_costs_that_point_and_is_listed(damaged: str, why: str) -> None:
    rest = [point(f"2025-05-04T10:01:{s:02d}Z") for s in range(20)]
    log = read_gpx(track(A, damaged, *rest))
    assert (log.t_s.size, reasons(log)) == (21, [(5, why)])


def test_a_point_without_elevation_is_kept() -> None:
    log = read_gpx(track(point("2025-05-04T10:00:00Z", ele=""), point("2025-05-04T10:00:01Z", ele="high")))
    assert np.isnan(log.gnss_altitude_m).all() and log.damaged == ()


def test_the_date_can_be_given_where_the_calendar_was_wrong() -> None:
    log = read_gpx(track(A, B), date=dt.date(2024, 2, 29))
    assert (log.date, log.t_s.tolist()) == (dt.date(2024, 2, 29), [36_000.0, 36_005.0])


BOMB = """<?xml version="1.0"?>
<!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>
<gpx version="1.1"><trk><trkseg><trkpt lat="1" lon="1"><time>&c;</time></trkpt></trkseg></trk></gpx>"""
OUTSIDE = """<?xml version="1.0"?>
<!DOCTYPE gpx [<!ENTITY outside SYSTEM "file:///etc/hostname">]>
<gpx version="1.1"><trk><trkseg><trkpt lat="1" lon="1"><time>&outside;</time></trkpt></trkseg></trk></gpx>"""
REFUSED = {
    "empty": (b" \n", "empty"),
    "entities in entities": (BOMB.encode(), "Line 2: the file brings a document type"),
    "an entity from outside": (OUTSIDE.encode(), "Line 2: the file brings a document type"),
    "a document type alone": (b"<!DOCTYPE gpx SYSTEM 'http://x.invalid/g.dtd'><gpx/>", "document type"),
    "an entity never declared": (track(point("&when;")), "Line 4: the XML breaks off or is damaged"),
    "broken off": (track(A, B)[:-30], "Line 5: the XML breaks off"),
    "crossed": (b"<gpx>\n<trk></gpx></trk>", "Line 2: .*mismatched tag"),
    "not XML": (b"<gpx", "breaks off"),
    "another XML": (b"<kml><Placemark/></kml>", "not a GPX track: it begins with <kml>"),
    "a route": (f"{HEAD}<rte><rtept lat='1' lon='1'/></rte></gpx>".encode(), "no track point"),
    "planned, not flown": (track(point(""), point("")), "Line 4: none of the 2 track points.* no time"),
    "a whole season": (
        track(*(point(f"2025-{m:02d}-04T10:00:00Z") for m in range(1, 13))),
        "spread over 334 days. Add one flight",
    ),
    "characters nobody knows": (b'<?xml version="1.0" encoding="klingon"?><gpx/>', "encoding"),
    "deep": (b"<gpx>" + b"<a>" * 1000, "64 deep"),
}


@pytest.mark.parametrize(("data", "says"), REFUSED.values(), ids=list(REFUSED))
def test_what_is_no_track_is_refused_in_words(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=says):
        read_gpx(data)


def test_a_file_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpx, "SIZE_LIMIT_BYTES", 100)
    with pytest.raises(FormatError, match="Nothing was read"):
        read_gpx(track(A, B))


def test_engine_time_of_a_gpx_is_time_under_way_and_graded_lower() -> None:
    start = dt.datetime(2025, 5, 4, 10, tzinfo=dt.UTC)
    # 20 minutes at rest, 30 minutes north at 0.0002 degree a second (22 m/s), 10 minutes at rest.
    lats = [52.5 + 0.0002 * min(max(s - 1200, 0), 1800) for s in range(0, 3600, 2)]
    points = [
        point((start + dt.timedelta(seconds=2 * n)).isoformat(), f"{lat:.6f}") for n, lat in enumerate(lats)
    ]
    log = read_gpx(track(*points))
    found = from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)
    assert found.grade == "track log without engine noise"
    assert found.duration_h == pytest.approx(0.5, abs=0.01)


def test_a_long_track_is_read_quickly() -> None:
    start = dt.datetime(2025, 5, 4, 0, tzinfo=dt.UTC)
    data = track(*(point((start + dt.timedelta(seconds=n)).isoformat()) for n in range(36_000)))
    began = time.process_time()
    assert read_gpx(data).t_s.size == 36_000
    assert time.process_time() - began < 3.0


DEGREES = st.integers(-90 * 10**7, 90 * 10**7).map(lambda n: n / 1e7)


@given(
    st.lists(
        st.tuples(st.integers(0, 86_399_999), DEGREES, DEGREES, DEGREES),
        min_size=1,
        max_size=20,
        unique_by=lambda p: p[0],
    )
)
def test_what_is_written_is_read_back(points: list[tuple[int, float, float, float]]) -> None:
    midnight = dt.datetime(2025, 5, 4, tzinfo=dt.UTC)
    points.sort()
    written = [
        point((midnight + dt.timedelta(milliseconds=ms)).isoformat(), lat, lon, ele)
        for ms, lat, lon, ele in points
    ]
    log = read_gpx(track(*written))
    assert log.t_s.tolist() == pytest.approx([p[0] / 1000 for p in points], abs=1e-5)
    assert log.lat_deg.tolist() == [p[1] for p in points]
    assert log.lon_deg.tolist() == [p[2] for p in points]
    assert log.gnss_altitude_m.tolist() == [p[3] for p in points]


SOUND = track(*(point(f"2025-05-04T10:00:{s:02d}Z") for s in range(30)))


@given(st.lists(st.tuples(st.integers(0, len(SOUND) - 1), st.binary(max_size=3)), max_size=20))
@settings(max_examples=300)
def test_random_damage_raises_format_errors_only(damage: list[tuple[int, bytes]]) -> None:
    data = bytearray(SOUND)
    for place, put in damage:
        data[place : place + 1] = put
    try:
        log = read_gpx(bytes(data))
    except FormatError as error:
        assert error.message.endswith(".")
        return
    assert (np.diff(log.t_s) > 0).all()
    assert np.isfinite([log.t_s, log.lat_deg, log.lon_deg]).all()


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for attempt in (data, b"<gpx>" + data, HEAD.encode() + data + b"</gpx>"):
        with pytest.raises(FormatError):
            read_gpx(attempt)
