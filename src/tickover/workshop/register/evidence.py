"""From the bytes of a track log to engine time: one place, so that a number can be derived again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tickover.formats.igc import TrackLog, read_igc
from tickover.science.enginetime import EngineTime, Run, from_track


@dataclass(frozen=True)
class ReadLog:
    """A track log with the engine time found in it."""

    log: TrackLog
    found: EngineTime

    def clock(self, t_s: float) -> datetime:
        """UTC time of a point on the log's time axis."""
        assert self.log.date is not None
        midnight = datetime.combine(self.log.date, datetime.min.time(), UTC)
        return midnight + timedelta(seconds=float(t_s))

    def span(self, run: Run) -> tuple[datetime, datetime]:
        return self.clock(run.start_s), self.clock(run.end_s)


def read_track_log(data: bytes) -> ReadLog:
    """Read an IGC file and find engine time in it. Raises FormatError with a sentence for people."""
    log = read_igc(data)
    return ReadLog(log, from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions))
