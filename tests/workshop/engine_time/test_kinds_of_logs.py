"""One door for every log: an IGC flight log, a GPX track, an engine logger's table."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tickover.formats.errors import FormatError
from tickover.formats.flight_log import read_flight_log
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.reading_logs import read_track_log

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def start(now: datetime) -> datetime:
    return now - timedelta(days=1)


@pytest.fixture
def gpx(start: datetime) -> bytes:
    """Half an hour under way at 22 m/s between ten minutes at rest."""
    points = [
        f'<trkpt lat="{52.5 + 0.0002 * min(max(s - 600, 0), 1800):.5f}" lon="14">'
        f"<time>{(start + timedelta(seconds=s)).isoformat()}</time></trkpt>"
        for s in range(0, 3000, 4)
    ]
    text = f'<?xml version="1.0"?>\n<gpx version="1.1"><trk><trkseg>{"".join(points)}</trkseg></trk></gpx>'
    return text.encode()


@pytest.fixture
def table(start: datetime) -> bytes:
    """Half an hour at 5400 r/min between ten minutes of rest, one line damaged."""
    rows = [f"{s};{5400 if 600 <= s < 2400 else 0}" for s in range(3000)]
    rows[100] = "100;stall"
    return "\n".join([f"Start {start:%Y-%m-%d %H:%M:%S}", "Zeit [s];Drehzahl [1/min]", *rows]).encode()


def add(client: Any, data: bytes, name: str) -> Any:
    return client.post("/engines/1200/track-log/", {"track_log": SimpleUploadedFile(name, data)}, follow=True)


@pytest.mark.parametrize(
    ("kind", "grade"),
    [
        ("igc", "track log with engine noise"),
        ("gpx", "track log without engine noise"),
        ("table", "logger"),
    ],
)
def test_each_kind_adds_half_an_hour_and_is_derived_again(
    request: Any, signed_in: Callable[..., Any], crew: Any, outer: Any, start: datetime, kind: str, grade: str
) -> None:
    made = request.getfixturevalue(kind)
    answer = add(signed_in(crew.technician), made(start) if kind == "igc" else made, f"flight.{kind}")
    assert answer.status_code == 200
    row = engine_time.counting_entries(outer).get()
    assert row.grade == grade
    assert row.duration_h == pytest.approx(0.5, abs=0.01)
    again = engine_time.derived_again(row)
    assert again is not None and again.found.duration_h == row.duration_h
    assert again.log.start == row.started_at
    assert answer.redirect_chain[-1][0] == f"/engines/1200/time/{row.entry_sequence}/"


def test_the_entry_says_which_columns_were_taken_and_which_line_was_left_out(
    signed_in: Callable[..., Any], crew: Any, outer: Any, table: bytes
) -> None:
    page = add(signed_in(crew.technician), table, "engine.csv").content.decode()
    assert "Engine speed from column 2, &quot;Drehzahl [1/min]&quot;" in page
    assert "1 damaged line left out" in page
    assert "reads &quot;stall&quot;" in page


def test_the_evidence_keeps_the_ending_of_its_name(
    signed_in: Callable[..., Any], crew: Any, outer: Any, gpx: bytes
) -> None:
    client = signed_in(crew.technician)
    add(client, gpx, "Tuesday.GPX")
    evidence = engine_time.counting_entries(outer).get().evidence
    answer = client.get(f"/evidence/{evidence.sha256}/")
    assert answer["Content-Disposition"].endswith('.gpx"') and answer.getvalue() == gpx


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"time,temp\n1,2\n3,4\n", "No column tells the engine speed|no B record"),
        (b"a,b,c\n1,2,3\n", 'Columns seen: "a", "b", "c"'),
        ("time\trpm\n1\t5400\n".encode("utf-16"), "count from the start of the log"),
        (b'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>', "document type"),
        (b"<kml/>", "a KML file, not an IGC flight log"),
        (b"", "empty"),
    ],
)
def test_a_log_of_no_kind_is_refused_in_words(data: bytes, says: str) -> None:
    with pytest.raises(FormatError, match=says):
        read_track_log(data)


def test_an_igc_file_with_commas_in_its_first_lines_is_still_one(igc: Callable[..., bytes]) -> None:
    data = b"AXXX,a,b\r\nLXXX,rpm,c\r\n" + igc()
    assert "ENL" in read_flight_log(data).extensions
