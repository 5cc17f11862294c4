"""A run-up, from a logger's table, a flight log with an rpm channel or a sound, to figures and verdicts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from tickover.formats.audio.run_up_trace import trace_of_sound
from tickover.formats.audio.sound_file import track_audio
from tickover.formats.igc import Damage
from tickover.formats.run_up_log import read_runup_log
from tickover.library.frames import frame_of
from tickover.library.sources import Source, bytes_of, is_sound, path_of
from tickover.science import run_up
from tickover.science.run_up import Against, Measure, RunUpFinding, RunUpJudgement
from tickover.science.sound import SoundSettings

__all__ = ["AnalysedRunUp", "analyse_run_up"]

ANY_DAY = dt.date(2000, 1, 1)
"""A run-up is counted from its first sample: its day is of no matter."""
Judged = tuple[run_up.Trace, tuple[str, ...], tuple[Damage, ...]]


@dataclass(frozen=True, eq=False)
class AnalysedRunUp:
    """A run-up taken apart; findings with a danger first.

    `remarks` say what was taken for granted, `left_out` which rows could not be used.
    """

    run: RunUpJudgement
    findings: tuple[RunUpFinding, ...]
    remarks: tuple[str, ...]
    left_out: tuple[Damage, ...]

    @property
    def answer(self) -> str:
        """The verdict in one sentence."""
        return run_up.answer(self.findings)

    @property
    def measures(self) -> tuple[Measure, ...]:
        """Every figure with `title`, `value`, `unit`, `standard_uncertainty`, and `why_not` where it has none."""
        return self.run.measures

    @property
    def figures(self) -> dict[str, float | None]:
        """Every figure by its id, None where it was not measured."""
        return self.run.figures

    def to_frame(self, library: Literal["pandas", "polars"] | None = None) -> Any:
        """A DataFrame, one row a figure: id, title, value (NaN where not measured), standard_uncertainty, unit.

        Raises ModuleNotFoundError where neither pandas nor polars is installed.
        """
        rows = self.measures
        columns = {
            "id": [row.id for row in rows],
            "title": [row.title for row in rows],
            "value": [np.nan if row.value is None else row.value for row in rows],
            "standard_uncertainty": [
                np.nan if row.value is None else row.standard_uncertainty for row in rows
            ],
            "unit": [row.unit for row in rows],
        }
        return frame_of({name: np.array(values) for name, values in columns.items()}, library)


def analyse_run_up(
    source: Source,
    *,
    usual_full_rpm: float | None = None,
    limits: Mapping[str, Against] | None = None,
    gear_ratio: float | None = None,
    blades: int | None = None,
) -> AnalysedRunUp:
    """Take a run-up apart: idle, opening up, full throttle, temperatures.

    Parameters
    ----------
    source : path, bytes or open file
        A logger's table (CSV), an IGC file with an RPM channel, or a sound recording.
    usual_full_rpm : float, optional
        What an engine of this type turns at full throttle on the ground. [r/min]
    limits : mapping of str to Against, optional
        Limits by their ids: idle-rpm, static-rpm [r/min], cht, egt [degC].
    gear_ratio, blades : float, int, optional
        For a sound: turns of the engine for one of the propeller, and its blades; both or neither.

    Returns
    -------
    AnalysedRunUp
        `answer`, `figures`, `measures`, `findings`, `to_frame()`.

    Raises
    ------
    FormatError
        What is no run-up, with a sentence that says why.
    InsufficientDataError
        Where the engine never runs in it.
    OutOfRangeError
        For a limit that no run-up is judged by.

    Examples
    --------
    >>> rows = "".join(f"{t / 2},{2000 + 5 * (t % 3) if t < 60 else 6200 + 10 * (t % 2)}\\n" for t in range(120))
    >>> run = analyse_run_up(f"time [s],rpm\\n{rows}".encode())
    >>> round(run.figures["idle-rpm"]), round(run.figures["static-rpm-20"])
    (2005, 6205)
    """
    settings = SoundSettings(gear_ratio, blades)
    trace, remarks, left_out = _of_sound(source, settings) if is_sound(source) else _of_log(source)
    analysed = run_up.analyse(trace, usual_full_rpm)
    findings = run_up.judge(analysed, limits)
    return AnalysedRunUp(analysed, findings, (*remarks, *trace.remarks), left_out)


def _of_sound(source: Source, settings: SoundSettings) -> Judged:
    with path_of(source) as path:
        track = track_audio(path, settings)
    return trace_of_sound(track), track.remarks, ()


def _of_log(source: Source) -> Judged:
    log = read_runup_log(bytes_of(source), ANY_DAY)
    trace = run_up.make_trace(log.t_s, log.rpm, cht_c=log.cht_c, egt_c=log.egt_c, vibration=log.vibration)
    return trace, log.remarks, log.damaged
