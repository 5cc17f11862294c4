"""Any log as one kind of table, the engine time in it, and the engine speed in a recording of the sound."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tickover.formats.audio.sound_file import track_audio
from tickover.formats.errors import FormatError
from tickover.formats.filetype import looks_like
from tickover.formats.flight_log import read_flight_log
from tickover.formats.igc import Damage, TrackLog
from tickover.formats.logger.csv_table import LoggerLog
from tickover.library.frames import frame_of
from tickover.library.sources import Source, bytes_of, is_sound, path_of
from tickover.science.engine_time.from_log import EngineTime, from_track
from tickover.science.sound import SoundSettings, SoundTrack

Floats = NDArray[np.float64]

SOUND = "sound recording"
NO_HOURS = "Engine time is not counted from a sound recording. Give a flight log or a logger's table."
POSITION = ("lat_deg", "lon_deg", "pressure_altitude_m", "gnss_altitude_m")


@dataclass(frozen=True, eq=False)
class Log:
    """A log of any kind: channels of one length n, ordered by time.

    `kind` is "IGC flight log", "GPX track", "engine logger table" or "sound recording". `date` is the UTC date of the
    first row, None for a sound. `t_s` counts from 00:00 UTC of that date, in a sound from its start [s]. `channels`
    by name: lat_deg, lon_deg [degree], pressure_altitude_m, gnss_altitude_m [m]; ENL, MOP [0 to 999]; RPM [r/min];
    CHT, EGT [degC]; of a sound rpm [r/min], confidence and four_stroking [0 to 1]. NaN where a value is missing.
    `remarks` say what was taken for granted, `left_out` which lines could not be used.
    """

    kind: str
    date: dt.date | None
    t_s: Floats
    channels: dict[str, Floats]
    remarks: tuple[str, ...]
    left_out: tuple[Damage, ...]

    def __len__(self) -> int:
        return int(self.t_s.size)

    @property
    def start(self) -> dt.datetime | None:
        """Time of the first row, UTC; None for a sound."""
        if self.date is None:
            return None
        midnight = dt.datetime.combine(self.date, dt.time(), dt.UTC)
        return midnight + dt.timedelta(seconds=float(self.t_s[0]))

    def to_frame(self, library: Literal["pandas", "polars"] | None = None) -> Any:
        """A DataFrame with `time` (UTC, without a zone; not for a sound), `t_s` and the channels.

        Raises ModuleNotFoundError where neither pandas nor polars is installed.
        """
        columns: dict[str, NDArray[Any]] = {}
        if self.date is not None:
            since = np.round(self.t_s * 1e6).astype("timedelta64[us]")
            columns["time"] = np.datetime64(self.date, "us") + since
        return frame_of({**columns, "t_s": self.t_s, **self.channels}, library)


def read(source: Source, *, date: dt.date | None = None) -> Log:
    """Read a log: IGC, GPX, an engine logger's table (CSV) or a sound. Its kind is told by what is in it.

    Parameters
    ----------
    source : path, bytes or open file
        At most 64 MB, a logger's table 32 MB, a sound 12 hours; a sound is listened to, which takes seconds.
    date : datetime.date, optional
        UTC date of the first row, where the file has none or a wrong one.

    Returns
    -------
    Log

    Raises
    ------
    FormatError
        With a sentence that says what is wrong, in which line, and what to do.
    OSError
        Where the file cannot be opened.

    Examples
    --------
    >>> table = b"time,rpm\\n0,2100\\n1,2110\\n2,2090\\n"
    >>> log = read(table, date=dt.date(2026, 5, 4))
    >>> log.kind, len(log), log.channels["RPM"].tolist()
    ('engine logger table', 3, [2100.0, 2110.0, 2090.0])
    """
    if is_sound(source):
        return _of_sound(track_rpm(source))
    data = bytes_of(source)
    return _of_track(read_flight_log(data, date=date), looks_like(data))


def engine_time(log: Log | Source) -> EngineTime:
    """Engine time in a flight log or a logger's table: by RPM, MOP or ENL, else by ground speed.

    Parameters
    ----------
    log : Log, path, bytes or open file

    Returns
    -------
    EngineTime
        `duration_h`, its standard deviation `sd_h` [h], `runs`, `doubtful`, `grade`, `remarks`, `working`.

    Raises
    ------
    FormatError
        As for `read`; a sound, whose hours nobody vouches for.

    Examples
    --------
    >>> rows = "".join(f"{t},{2100 if 60 <= t < 660 else 0}\\n" for t in range(900))
    >>> ran = engine_time(read(f"time [s],rpm\\n{rows}".encode(), date=dt.date(2026, 5, 4)))
    >>> round(60 * ran.duration_h, 1), ran.grade
    (10.0, 'logger')
    """
    found = log if isinstance(log, Log) else _no_sound(log)
    if found.kind == SOUND:
        raise FormatError(NO_HOURS)
    place = [found.channels.get(name, np.full(len(found), np.nan)) for name in POSITION[:2]]
    heard = {name: values for name, values in found.channels.items() if name not in POSITION}
    return from_track(found.t_s, place[0], place[1], heard)


def _no_sound(source: Source) -> Log:
    if is_sound(source):
        raise FormatError(NO_HOURS)
    return read(source)


def track_rpm(
    source: Source,
    *,
    gear_ratio: float | None = None,
    blades: int | None = None,
    rpm_range: tuple[float, float] = (900.0, 12_000.0),
) -> SoundTrack:
    """Engine speed along a sound recording of a single-cylinder two-stroke, one frame each 0.05 s.

    Parameters
    ----------
    source : path, bytes or open file
        WAV, FLAC, OGG, MP3, or M4A where the library av is installed.
    gear_ratio : float, optional
        Turns of the engine for one of the propeller, 1 to 6; with `blades`, or neither. [-]
    blades : int, optional
        Blades of the propeller, 1 to 6.
    rpm_range : tuple
        Lowest and highest speed looked for, within 300 to 20,000. [r/min]

    Returns
    -------
    SoundTrack
        `t_s` [s], `rpm` [r/min], NaN where it is not sure, `confidence`, `state`, `remarks`.

    Raises
    ------
    FormatError
        Not a recording, silent, damaged, or longer than 12 hours.
    OutOfRangeError
        A gear, propeller or range that cannot be.

    Examples
    --------
    >>> track_rpm(b"no sound")
    Traceback (most recent call last):
        ...
    tickover.formats.errors.FormatError: The file cannot be read as a sound recording. Record it as WAV, FLAC, \
OGG, MP3 or M4A.
    """
    settings = SoundSettings(gear_ratio, blades, rpm_range)
    with path_of(source) as path:
        return track_audio(path, settings)


def _of_track(log: TrackLog, looks: str) -> Log:
    place = {name: values for name in POSITION if np.isfinite(values := getattr(log, name)).any()}
    remarks = log.remarks if isinstance(log, LoggerLog) else ()
    return Log(_kind(log, looks), log.date, log.t_s, {**place, **log.extensions}, remarks, log.damaged)


def _kind(log: TrackLog, looks: str) -> str:
    if isinstance(log, LoggerLog):
        return "engine logger table"
    return "GPX track" if looks in ("a GPX track", "an XML file") else "IGC flight log"


def _of_sound(track: SoundTrack) -> Log:
    heard = {"rpm": track.rpm, "confidence": track.confidence, "four_stroking": track.four_stroking}
    return Log(SOUND, None, track.t_s, heard, track.remarks, ())
