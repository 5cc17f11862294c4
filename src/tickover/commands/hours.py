"""`tickover hours FILE`: the engine time in a track log, and why."""

from __future__ import annotations

import sys
from pathlib import Path

from tickover.formats.errors import FormatError
from tickover.formats.igc import TrackLog, read_igc
from tickover.science.enginetime import EngineTime, Run, from_track


def show_hours(path: Path) -> int:
    try:
        log = read_igc(path.read_bytes())
    except OSError as error:
        print(f"{path}: {error.strerror}.", file=sys.stderr)
        return 1
    except FormatError as error:
        print(f"{path}: {error}", file=sys.stderr)
        return 1
    found = from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)
    print("\n".join(_lines(path, log, found)))
    return 0


def _lines(path: Path, log: TrackLog, found: EngineTime) -> list[str]:
    lines = [
        f"{path.name}: {found.duration_h:.2f} h of engine time, standard deviation {found.sd_h:.3f} h,"
        f" {found.starts} {'start' if found.starts == 1 else 'starts'}",
        f"  by {found.method}; grade: {found.grade}",
        f"  log of {log.date} from {log.start:%H:%M:%S} to {log.end:%H:%M:%S} UTC, {len(log.t_s)} fixes",
    ]
    lines += [f"  run {_clock(run)}" for run in found.runs]
    lines += [f"  heard, not counted {_clock(run)}" for run in found.doubtful]
    lines += [f"  {remark}" for remark in found.remarks]
    lines += [f"  left out line {damage.line}: {damage.reason}" for damage in log.damaged[:10]]
    if len(log.damaged) > 10:
        lines.append(f"  and {len(log.damaged) - 10} more lines left out")
    return lines


def _clock(run: Run) -> str:
    return f"{_time(run.start_s)} to {_time(run.end_s)} UTC"


def _time(t_s: float) -> str:
    whole = round(t_s) % 86400
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"
