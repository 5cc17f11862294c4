"""Flight logs found in the open: fixes against the library aerofiles, engine time against the values in them.

Logs: test data of open-source readers (aerofiles, igc_lib, igc-parser, opensoar, goigc, go-igc). They do
not come with this repository; TICKOVER_SAMPLES names the folder that holds them.
"""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tickover.formats.igc import TrackLog, read_igc
from tickover.science.engine_time.from_log import EngineTime, from_track

aerofiles_igc = pytest.importorskip("aerofiles.igc", reason="the library aerofiles cannot be imported")

BESIDE = Path(__file__).parents[2].parent / "shared" / "samples" / "tracklogs"
FOLDER = Path(os.environ.get("TICKOVER_SAMPLES", BESIDE))
LOGS = sorted(path for path in FOLDER.glob("*") if path.suffix.lower() == ".igc")
REASON = "no flight logs here: name a folder of them in TICKOVER_SAMPLES"
pytestmark = pytest.mark.skipif(not LOGS, reason=REASON)

# An extra digit of a minute (LAD, LOD) that aerofiles leaves out of the position: a thousandth at most.
ONE_DIGIT_DEG = 0.001 / 60.0


def theirs(path: Path) -> list[dict[str, Any]]:
    text = path.read_bytes().decode("latin-1")
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


def ours_and_theirs(path: Path) -> tuple[TrackLog, list[dict[str, Any]]]:
    track, fixes = read_igc(path.read_bytes()), by_second(theirs(path))
    return track, [fixes[int(t_s) % 86_400] for t_s in track.t_s]


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.stem)
def test_every_fix_is_read_or_listed(path: Path) -> None:
    track = read_igc(path.read_bytes())
    assert track.t_s.size + len(track.damaged) == len(theirs(path))


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.stem)
def test_positions_and_altitudes_agree(path: Path) -> None:
    track, fixes = ours_and_theirs(path)
    close = ONE_DIGIT_DEG if "LAD" in fixes[0] else 1e-9
    assert np.abs(track.lat_deg - [fix["lat"] for fix in fixes]).max() <= close
    assert np.abs(track.lon_deg - [fix["lon"] for fix in fixes]).max() <= close
    assert track.pressure_altitude_m.tolist() == [fix["pressure_alt"] for fix in fixes]
    assert track.gnss_altitude_m.tolist() == [fix["gps_alt"] for fix in fixes]
    assert track.valid.tolist() == [fix["validity"] == "A" for fix in fixes]


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.stem)
def test_extensions_agree(path: Path) -> None:
    track, fixes = ours_and_theirs(path)
    for code, values in track.extensions.items():
        expected = [float(fix.get(code, np.nan)) for fix in fixes]
        np.testing.assert_array_equal(values, expected, err_msg=code)


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.stem)
def test_the_first_moment_agrees(path: Path) -> None:
    assert read_igc(path.read_bytes()).start == theirs(path)[0]["datetime"]


def engine_time(name: str) -> EngineTime:
    path = FOLDER / name
    if not path.is_file():
        pytest.skip(f"{name} is not in the folder of flight logs")
    track = read_igc(path.read_bytes())
    return from_track(track.t_s, track.lat_deg, track.lon_deg, track.extensions)


def test_the_one_engine_run_that_can_be_seen_is_found() -> None:
    """The file's own values: ENL rises to 999 from 03:57:32 to 03:57:35 and falls from 04:02:44 on."""
    found = engine_time("igc_lib__new_zealand.igc")
    assert found.starts == 1
    assert found.runs[0].start_s % 86_400 == pytest.approx(3 * 3600 + 57 * 60 + 35, abs=4)
    assert found.runs[0].end_s % 86_400 == pytest.approx(4 * 3600 + 2 * 60 + 44, abs=4)
    assert found.duration_h * 3600 == pytest.approx(309, abs=6)


@pytest.mark.parametrize(
    ("name", "loud"),
    [
        ("aerofiles__example.igc", 1),  # one value of 950
        ("ezgoigc__optimize-long-flight-1.igc", 2),  # 999 for 22 s on the launch, 26 s on landing
        ("goigc_tw__45bvafx1.igc", 2),  # up to 710 for 15 s on landing; RPM and MOP dead
        ("igc_lib__olsztyn.igc", 1),  # up to 799 for 24 s on the launch
        ("igcparser__1G_77fv6m71.igc", 0),  # never over 357
        ("opensoar__missing_lcu_lseeyou_lines.igc", 2),  # bursts for 32 s on landing, 10 s on the launch
    ],
)
def test_a_glider_on_the_launch_or_landing_ran_no_engine(name: str, loud: int) -> None:
    found = engine_time(name)
    assert (found.method, found.starts, len(found.doubtful)) == ("noise channel", 0, loud)
