"""`tickover hours FILE...`: the engine time in track logs, and why; nothing is added anywhere."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from tickover.commands.many_logs import LogHours, all_of
from tickover.formats.errors import FormatError
from tickover.formats.flight_log import read_flight_log
from tickover.formats.igc import TrackLog
from tickover.science.engine_time.channels import clock
from tickover.science.engine_time.from_log import EngineTime, RunningPeriod, from_track


def show_hours(paths: Sequence[Path], workers: int | None, cluster: str | None) -> int:
    """One file in full; several as a line each with their sum. Returns 1 where a file was refused."""
    return _show_one(paths[0]) if len(paths) == 1 else _show_many(paths, workers, cluster)


def _show_one(path: Path) -> int:
    try:
        log = read_flight_log(path.read_bytes())
    except OSError as error:
        print(f"{path}: {error.strerror}.", file=sys.stderr)
        return 1
    except FormatError as error:
        print(f"{path}: {error}", file=sys.stderr)
        return 1
    found = from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)
    print("\n".join(_lines(path, log, found)))
    return 0


def _show_many(paths: Sequence[Path], workers: int | None, cluster: str | None) -> int:
    refused: list[LogHours] = []
    try:
        with all_of(paths, workers, cluster) as results:
            for number, result in enumerate(results, start=1):
                refused.append(result)
                print(f"\r{number} of {len(paths)} read", end="", file=sys.stderr, flush=True)
    except KeyboardInterrupt:
        print(f"\nStopped after {len(refused)} of {len(paths)}.", file=sys.stderr)
    print(file=sys.stderr)
    for result in sorted(refused, key=lambda r: r.name):
        if result.refused:
            print(f"{result.name}: {result.refused}", file=sys.stderr)
        else:
            print(f"{result.name}: {result.duration_h:.2f} h, {result.grade}")
    print(f"{sum(r.duration_h or 0.0 for r in refused):.2f} h in {sum(not r.refused for r in refused)} logs")
    return int(any(r.refused for r in refused) or len(refused) < len(paths))


def _lines(path: Path, log: TrackLog, found: EngineTime) -> list[str]:
    lines = [
        f"{path.name}: {found.duration_h:.2f} h of engine time, standard deviation {_spread(found.u_h)},"
        f" {found.starts} {'start' if found.starts == 1 else 'starts'}",
        f"  by {found.method}; grade: {found.grade}",
        f"  log of {log.date} from {log.start:%H:%M:%S} to {log.end:%H:%M:%S} UTC, {len(log.t_s)} fixes",
    ]
    lines += [f"  run {_clock(run)}" for run in found.runs]
    lines += [f"  not counted {_clock(run)}" for run in found.doubtful]
    lines += [f"  {remark}" for remark in (*getattr(log, "remarks", ()), *found.remarks)]
    lines += [f"  left out line {damage.line}: {damage.reason}" for damage in log.damaged[:10]]
    if len(log.damaged) > 10:
        lines.append(f"  and {len(log.damaged) - 10} more lines left out")
    return lines


def _spread(u_h: float) -> str:
    return f"{u_h * 3600:.1f} s" if u_h < 1 / 60 else f"{u_h:.2f} h"


def _clock(run: RunningPeriod) -> str:
    return f"{clock(run.start_s)} to {clock(run.end_s)} UTC"
