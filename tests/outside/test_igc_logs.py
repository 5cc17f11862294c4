"""Flight logs: every fix against the library aerofiles, engine time against the values in the file.

Invented logs are always read. Real ones, the test data of open-source readers (aerofiles, igc_lib, igc-parser,
opensoar, goigc, go-igc), do not come with this repository: TICKOVER_SAMPLES names the folder that holds them.
"""

from __future__ import annotations

import io
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tickover.demo.tracklogs import make_igc
from tickover.formats.igc import TrackLog, read_igc
from tickover.science.engine_time.from_log import EngineTime, from_track

aerofiles_igc = pytest.importorskip("aerofiles.igc", reason="the library aerofiles cannot be imported")

BESIDE = Path(__file__).parents[2].parent / "shared" / "samples" / "tracklogs"
FOLDER = Path(os.environ.get("TICKOVER_SAMPLES", BESIDE))
REAL = {path.stem: path.read_bytes() for path in sorted(FOLDER.glob("*")) if path.suffix.lower() == ".igc"}


def invented(channel: str | None, start: datetime, **more: Any) -> bytes:
    return make_igc(np.random.default_rng(5), start, [(2.0, 20.0), (31.0, 40.0)], channel=channel, **more)


NOON = datetime(2025, 5, 4, 12, 0, tzinfo=UTC)
INVENTED = {
    "invented with noise": invented("ENL", NOON),
    "invented with a microphone": invented("MOP", NOON, interval_s=1),
    "invented with rpm": invented("RPM", NOON, interval_s=2),
    "invented without a channel": invented(None, NOON),
    "invented over midnight": invented("ENL", datetime(2025, 12, 31, 23, 45, tzinfo=UTC)),
}
each_log = pytest.mark.parametrize("data", [pytest.param(d, id=n) for n, d in (INVENTED | REAL).items()])

# An extra digit of a minute (LAD, LOD) that aerofiles leaves out of the position: a thousandth at most.
ONE_DIGIT_DEG = 0.001 / 60.0


def theirs(data: bytes) -> list[dict[str, Any]]:
    text = data.decode("latin-1")
    fixes: list[dict[str, Any]] = aerofiles_igc.Reader().read(io.StringIO(text, newline=None))["fix_records"][
        1
    ]
    return fixes


def by_second(fixes: list[dict[str, Any]]) -> dict[int, dict[str, Any]]:
    """Fixes by their second of the day, the first one of each."""
    found: dict[int, dict[str, Any]] = {}
    for fix in fixes:
        time = fix["time"]
        found.setdefault(time.hour * 3600 + time.minute * 60 + time.second, fix)
    return found


def ours_and_theirs(data: bytes) -> tuple[TrackLog, list[dict[str, Any]]]:
    track, fixes = read_igc(data), by_second(theirs(data))
    return track, [fixes[int(t_s) % 86_400] for t_s in track.t_s]


@each_log
def test_every_fix_is_read_or_listed(data: bytes) -> None:
    track = read_igc(data)
    assert track.t_s.size + len(track.damaged) == len(theirs(data))


@each_log
def test_positions_and_altitudes_agree(data: bytes) -> None:
    track, fixes = ours_and_theirs(data)
    close = ONE_DIGIT_DEG if "LAD" in fixes[0] else 1e-9
    assert np.abs(track.lat_deg - [fix["lat"] for fix in fixes]).max() <= close
    assert np.abs(track.lon_deg - [fix["lon"] for fix in fixes]).max() <= close
    assert track.pressure_altitude_m.tolist() == [fix["pressure_alt"] for fix in fixes]
    assert track.gnss_altitude_m.tolist() == [fix["gps_alt"] for fix in fixes]
    assert track.valid.tolist() == [fix["validity"] == "A" for fix in fixes]


@each_log
def test_extensions_agree(data: bytes) -> None:
    track, fixes = ours_and_theirs(data)
    for code, values in track.extensions.items():
        expected = [float(fix.get(code, np.nan)) for fix in fixes]
        np.testing.assert_array_equal(values, expected, err_msg=code)


@each_log
def test_the_first_moment_agrees(data: bytes) -> None:
    assert read_igc(data).start == theirs(data)[0]["datetime"]


def engine_time(name: str) -> EngineTime:
    if name not in REAL:
        pytest.skip(f"{name} is a real flight log: name the folder that holds it in TICKOVER_SAMPLES")
    track = read_igc(REAL[name])
    return from_track(track.t_s, track.lat_deg, track.lon_deg, track.extensions)


def test_the_one_engine_run_that_can_be_seen_is_found() -> None:
    """The file's own values: ENL rises to 999 from 03:57:32 to 03:57:35 and falls from 04:02:44 on."""
    found = engine_time("igc_lib__new_zealand")
    assert found.starts == 1
    assert found.runs[0].start_s % 86_400 == pytest.approx(3 * 3600 + 57 * 60 + 35, abs=4)
    assert found.runs[0].end_s % 86_400 == pytest.approx(4 * 3600 + 2 * 60 + 44, abs=4)
    assert found.duration_h * 3600 == pytest.approx(309, abs=6)


@pytest.mark.parametrize(
    ("name", "loud"),
    [
        ("aerofiles__example", 1),  # one value of 950
        ("ezgoigc__optimize-long-flight-1", 2),  # 999 for 22 s on the launch, 26 s on landing
        ("goigc_tw__45bvafx1", 2),  # up to 710 for 15 s on landing; RPM and MOP dead
        ("igc_lib__olsztyn", 1),  # up to 799 for 24 s on the launch
        ("igcparser__1G_77fv6m71", 0),  # never over 357
        ("opensoar__missing_lcu_lseeyou_lines", 2),  # bursts for 32 s on landing, 10 s on the launch
    ],
)
def test_a_glider_on_the_launch_or_landing_ran_no_engine(name: str, loud: int) -> None:
    found = engine_time(name)
    assert (found.method, found.starts, len(found.doubtful)) == ("noise channel", 0, loud)
