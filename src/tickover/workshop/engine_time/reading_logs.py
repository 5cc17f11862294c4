"""From the bytes of a track log to engine time: one place, so that a number can be derived again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

from tickover.formats.flight_log import read_flight_log
from tickover.formats.igc import TrackLog
from tickover.formats.logger.csv_table import LoggerLog
from tickover.science.engine_time.from_log import EngineTime, RunningPeriod, from_track


@dataclass(frozen=True)
class ReadLog:
    """A track log with the engine time found in it."""

    log: TrackLog
    found: EngineTime

    def clock(self, t_s: float) -> datetime:
        """UTC time of a point on the log's time axis."""
        midnight = datetime.combine(self.log.date, datetime.min.time(), UTC)
        return midnight + timedelta(seconds=float(t_s))

    def span(self, run: RunningPeriod) -> tuple[datetime, datetime]:
        return self.clock(run.start_s), self.clock(run.end_s)


def read_track_log(data: bytes, *, on_day: date | None = None) -> ReadLog:
    """Read an IGC file, a GPX track or an engine logger's table, and find engine time in it.

    `on_day` is the day of the first fix, where the file has none. Raises FormatError with a sentence for
    people.
    """
    log = read_flight_log(data, date=on_day)
    found = from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)
    taken = log.remarks if isinstance(log, LoggerLog) else ()
    return ReadLog(log, replace(found, remarks=(*taken, *found.remarks)))
