"""From the bytes of a run-up to its figures: one place, so that they can be derived again."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Any

from cachetools import LRUCache, cached

from tickover.formats.errors import FormatError
from tickover.formats.filetype import looks_like
from tickover.formats.igc import Damage
from tickover.formats.logger.choice import ColumnChoice, LoggerPreview, look_at
from tickover.formats.logger.columns import has_engine_speed
from tickover.formats.run_up_log import read_runup_log
from tickover.formats.text.delimited import lines_of
from tickover.formats.text.units import convert, convert_width, convertible
from tickover.science import run_up
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.sheets import LimitRow, TypeSheet
from tickover.workshop.kernel import evidence_files
from tickover.workshop.run_ups.uploads import listening

MOST_BYTES = 32 * 1024 * 1024
MOST_SOUND_BYTES = 2 * 1024**3
HEAD = 64
FIGURE_UNITS = {
    "idle-rpm": "rpm",
    "static-rpm": "rpm",
    "cht": "deg C",
    "egt": "deg C",
    "static-thrust": "kgf",
}
"""What a run-up is judged by, and the unit in which its figure is."""
DIGITS = 6
HELD = 16


@dataclass(frozen=True, eq=False)
class ReadRun:
    """A run-up as it was read: taken apart, what it was read from, what was taken for granted and left out."""

    kind: str
    run: run_up.RunUpJudgement
    remarks: tuple[str, ...]
    damaged: tuple[Damage, ...]

    @property
    def figures(self) -> dict[str, float | None]:
        """Figures as they are kept: to six digits, so that they are the same when derived again elsewhere."""
        return {id: None if v is None else float(f"{v:.{DIGITS}g}") for id, v in self.run.figures.items()}


def _asked(source: bytes | Path, day: date, columns: dict[str, Any], sheet: TypeSheet) -> tuple[Any, ...]:
    return _fingerprint(source), day, repr(sorted(columns.items())), sheet.id, sheet.version


@cached(LRUCache(HELD), key=_asked, lock=Lock())
def read_run(source: bytes | Path, day: date, columns: dict[str, Any], sheet: TypeSheet) -> ReadRun:
    """Read a run-up, from its bytes or from a file that may be larger than memory.

    Raises FormatError with a sentence for people, OSError where the file is gone.

    A recording takes seconds to listen to, and the same bytes always say the same: the last ones are held.
    """
    return _read(source, day, columns, sheet)


def _read(source: bytes | Path, day: date, columns: dict[str, Any], sheet: TypeSheet) -> ReadRun:
    sound = is_sound(source)
    _refuse_too_large(source, sound)
    try:
        if sound:
            trace, remarks = listening.trace_of(source, sheet)
            kind, damaged = "sound", tuple[Damage, ...]()
        else:
            log = read_runup_log(whole(source), day, choice_of(columns))
            trace = run_up.make_trace(
                log.t_s, log.rpm, cht_c=log.cht_c, egt_c=log.egt_c, vibration=log.vibration
            )
            kind, remarks, damaged = log.kind, log.remarks, log.damaged
        return ReadRun(kind, run_up.analyse(trace, usual_full(sheet)), (*remarks, *trace.remarks), damaged)
    except (InsufficientDataError, OutOfRangeError) as error:
        raise FormatError(f"This cannot be read as a run-up: {error}.") from error


def is_sound(source: bytes | Path) -> bool:
    """Whether it begins like a recording."""
    if isinstance(source, bytes):
        return listening.is_sound(source[:HEAD])
    with source.open("rb") as file:
        return listening.is_sound(file.read(HEAD))


def whole(source: bytes | Path) -> bytes:
    """All of it; only of what is no recording, which is never large."""
    return source if isinstance(source, bytes) else source.read_bytes()


def untold(source: bytes | Path) -> LoggerPreview | None:
    """The look of a table whose headers tell no engine speed; None for any other file."""
    if is_sound(source) or _size(source) > MOST_BYTES:
        return None
    data = whole(source)
    if looks_like(data) != "a table (CSV)":
        return None
    lines = lines_of(data, most_bytes=MOST_BYTES)
    return None if has_engine_speed(lines) else look_at(lines)


def _refuse_too_large(source: bytes | Path, sound: bool) -> None:
    size, most = _size(source), MOST_SOUND_BYTES if sound else MOST_BYTES
    if size <= most:
        return
    what = "a recording" if sound else "a logger’s table or flight log"
    no_sound = (
        "" if sound else "It does not begin like a recording that can be read (WAV, FLAC, OGG, MP3, M4A). "
    )
    raise FormatError(
        f"The file has {size / 2**20:,.0f} MB; {what} may have {most / 2**20:,.0f} MB at most. {no_sound}"
        "Cut it to the run itself."
    )


def _size(source: bytes | Path) -> int:
    return len(source) if isinstance(source, bytes) else source.stat().st_size


def _fingerprint(source: bytes | Path) -> str:
    return (
        evidence_files.sha256_of(source)
        if isinstance(source, bytes)
        else evidence_files.sha256_of_file(source)
    )


def choice_of(columns: dict[str, Any]) -> ColumnChoice | None:
    return ColumnChoice(**columns) if columns else None


def columns_of(choice: ColumnChoice) -> dict[str, Any]:
    return asdict(choice)


def usual_full(sheet: TypeSheet) -> float | None:
    """Static speed of the type, where its sheet knows one. [rpm]"""
    limit = next((limit for limit in sheet.limits if limit.id == "static-rpm"), None)
    return (limit.nominal or limit.upper) if limit else None


def limits_of(sheet: TypeSheet) -> dict[str, run_up.Against]:
    """The sheet's limits for a run-up by their ids, in the units of its figures."""
    wanted = ((row, FIGURE_UNITS[row.id]) for row in sheet.limits if row.id in FIGURE_UNITS)
    return {row.id: _against(row, unit) for row, unit in wanted if convertible(row.unit, unit)}


def _against(row: LimitRow, unit: str) -> run_up.Against:
    def here(value: float | None) -> float | None:
        return None if value is None else convert(value, row.unit, unit)

    return run_up.Against(
        here(row.lower),
        here(row.upper),
        convert_width(row.expanded_uncertainty, row.unit, unit) / 2.0,
        convert_width(row.resolution, row.unit, unit),
        row.low_means,
        row.high_means,
        row.action_outside,
        row.authority,
        row.rule == "guarded",
        here(row.never_above),
    )
