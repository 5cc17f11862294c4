"""The picture beside an entry of engine time, and the sentence for a file that is too large."""

from __future__ import annotations

from tickover.science.engine_time.channels import NOISE
from tickover.workshop.drawings.noise_trace import noise_trace
from tickover.workshop.engine_time.reading_logs import ReadLog


def of(read: ReadLog) -> str:
    """The noise trace with the runs found on it; empty where the log has no noise channel."""
    level = read.log.extensions.get("ENL")
    if level is None:
        return ""
    thresholds = NOISE
    return noise_trace(
        read.log.t_s,
        level,
        read.found.runs,
        read.found.doubtful,
        thresholds.on_level,
        thresholds.off_level,
        f"{read.log.start:%H:%M:%S}",
    )


def too_large(size: int, most: int) -> str:
    return (
        f"The file has {size / 2**20:.0f} MB; a track log may have {most // 2**20} MB at most. "
        "Nothing was read. Add one flight at a time."
    )
