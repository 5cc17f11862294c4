"""One function reads any log: a path, bytes or an open file, of any kind that is known here."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

import tickover
from tickover.demo.enginesound import engine_sound
from tickover.demo.tracklogs import make_igc
from tickover.library import frames

START = datetime(2026, 5, 4, 6, tzinfo=UTC)
DAY = date(2026, 5, 4)
GPX = b"""<?xml version="1.0"?><gpx version="1.1" creator="invented"><trk><trkseg>
<trkpt lat="47.0" lon="8.0"><ele>400</ele><time>2026-05-04T06:00:00Z</time></trkpt>
<trkpt lat="47.001" lon="8.0"><ele>410</ele><time>2026-05-04T06:00:10Z</time></trkpt>
</trkseg></trk></gpx>"""


@pytest.fixture
def igc() -> bytes:
    return make_igc(np.random.default_rng(1), START, [(2.0, 12.0)])


@pytest.fixture
def wav() -> bytes:
    sound, _ = engine_sound(np.random.default_rng(3), np.full(64_000, 2100.0), 16_000)
    out = io.BytesIO()
    soundfile.write(out, 0.5 * sound, 16_000, format="WAV")
    return out.getvalue()


def test_a_path_bytes_and_an_open_file_give_the_same_log(igc: bytes, tmp_path: Path) -> None:
    path = tmp_path / "flight.igc"
    path.write_bytes(igc)
    logs = [tickover.read(source) for source in (path, str(path), igc, io.BytesIO(igc))]
    with path.open("rb") as file:
        logs.append(tickover.read(file))
    assert {log.kind for log in logs} == {"IGC flight log"}
    assert {(log.start, len(log), float(log.channels["ENL"].sum())) for log in logs} == {
        (START, len(logs[0]), float(logs[0].channels["ENL"].sum()))
    }


def test_a_gpx_track_has_positions_and_no_engine_channel() -> None:
    log = tickover.read(GPX)
    assert (log.kind, log.date, sorted(log.channels)) == (
        "GPX track",
        DAY,
        ["gnss_altitude_m", "lat_deg", "lon_deg"],
    )
    assert tickover.engine_time(log).grade == "track log without engine noise"


def test_a_loggers_table_has_no_positions() -> None:
    log = tickover.read(b"time [s],rpm,CHT [deg C]\n0,2100,90\n1,2110,91\nx,2100,92\n", date=DAY)
    assert sorted(log.channels) == ["CHT", "RPM"]
    assert (len(log), log.left_out[0].line) == (2, 4)
    assert "engine speed from" in log.remarks[0].lower()


def test_a_sound_is_listened_to_and_has_no_date_and_no_engine_time(wav: bytes) -> None:
    log = tickover.read(io.BytesIO(wav))
    assert (log.kind, log.date, log.start) == ("sound recording", None, None)
    assert float(np.nanmedian(log.channels["rpm"])) == pytest.approx(2100.0, rel=0.02)
    assert log.to_frame("pandas").columns[0] == "t_s"
    for source in (log, wav):
        with pytest.raises(tickover.FormatError, match="not counted from a sound"):
            tickover.engine_time(source)


def test_engine_time_is_read_from_a_file_as_from_its_log(igc: bytes) -> None:
    assert tickover.engine_time(igc).duration_h == tickover.engine_time(tickover.read(igc)).duration_h


def test_a_table_has_the_times_of_the_log(igc: bytes) -> None:
    log = tickover.read(igc)
    frame = log.to_frame("pandas")
    assert len(frame) == len(log)
    assert frame.time.iloc[0].to_pydatetime() == START.replace(tzinfo=None)
    assert (frame.time.iloc[-1] - frame.time.iloc[0]).total_seconds() == log.t_s[-1] - log.t_s[0]


def test_a_table_takes_the_library_that_is_there(igc: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    log, asked = tickover.read(igc), []

    def only_polars(name: str) -> object:
        asked.append(name)
        return object() if name == "polars" else None

    monkeypatch.setattr(frames.importlib.util, "find_spec", only_polars)
    monkeypatch.setattr(frames, "import_module", lambda name: type(name, (), {"DataFrame": dict}))
    assert list(log.to_frame())[:2] == ["time", "t_s"]
    assert asked == ["pandas", "polars"]
    monkeypatch.setattr(frames.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(ModuleNotFoundError, match="pip install pandas"):
        log.to_frame()
    with pytest.raises(ModuleNotFoundError, match="pip install polars"):
        log.to_frame("polars")
    with pytest.raises(ValueError, match="pandas or polars"):
        log.to_frame("excel")  # type: ignore[arg-type]


def test_what_cannot_be_read_is_refused_with_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(tickover.FormatError, match="is a folder"):
        tickover.read(tmp_path)
    with pytest.raises(FileNotFoundError):
        tickover.read(tmp_path / "none.igc")
    with pytest.raises(tickover.FormatError, match='mode "rb"'):
        tickover.read(io.StringIO("B"))  # type: ignore[arg-type]
    with pytest.raises(tickover.FormatError):
        tickover.read(b"%PDF-1.7 not a log")
    with pytest.raises(tickover.FormatError, match="cannot be read as a sound"):
        tickover.track_rpm(b"no sound")


@pytest.mark.parametrize(("more", "refused"), [(0, False), (1, True)])
def test_a_log_larger_than_the_limit_is_not_read_whole(
    more: int, refused: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tickover.library import sources

    monkeypatch.setattr(sources, "MOST_BYTES", len(GPX))
    file = io.BytesIO(GPX + b"\n" * more)
    if refused:
        with pytest.raises(tickover.FormatError, match="more than"):
            tickover.read(file)
    else:
        assert len(tickover.read(file)) == 2
