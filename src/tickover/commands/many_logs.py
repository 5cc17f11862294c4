"""Engine time from many track logs at once: over this machine's cores, or over a cluster's.

The same function works on one log in either case. Results come as they are ready; closing the iterator
cancels what has not begun.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from tickover.formats.errors import FormatError
from tickover.formats.flight_log import read_flight_log
from tickover.science.engine_time.from_log import from_track

BATCH = 16


@dataclass(frozen=True)
class LogHours:
    """What one file says: its engine time with its standard uncertainty, or why it could not be read. [h]"""

    name: str
    duration_h: float | None = None
    u_h: float | None = None
    starts: int | None = None
    grade: str = ""
    refused: str = ""


def hours_of(name: str, data: bytes) -> LogHours:
    """Engine time in one track log. Never raises for a bad file: the refusal is the result."""
    try:
        log = read_flight_log(data)
    except FormatError as error:
        return LogHours(name, refused=str(error))
    found = from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)
    return LogHours(name, found.duration_h, found.u_h, found.starts, found.grade)


def hours_of_file(path: Path) -> LogHours:
    """As `hours_of`, reading the file where the work is done."""
    name, said = _read(path)
    return LogHours(name, refused=said) if isinstance(said, str) else hours_of(name, said)


def over_cores(paths: Sequence[Path], workers: int | None = None) -> Generator[LogHours, None, None]:
    """Results in the order in which they are ready, from `workers` processes (all cores by default)."""
    with ProcessPoolExecutor(workers or os.cpu_count()) as pool:
        waiting = [pool.submit(_hours_of_files, batch) for batch in _batches(paths)]
        try:
            for ready in as_completed(waiting):
                yield from ready.result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def over_cluster(paths: Sequence[Path], address: str) -> Generator[LogHours, None, None]:
    """As `over_cores`, on the workers of a dask scheduler; the files' bytes travel, no shared disk is needed."""
    from distributed import Client
    from distributed import as_completed as as_they_come

    with Client(address) as client:  # type: ignore[no-untyped-call]  # dask types it in part
        read = ([_read(path) for path in batch] for batch in _batches(paths))
        waiting = [client.submit(_hours_of_read, batch, pure=False) for batch in read]
        try:
            for ready in as_they_come(waiting):  # type: ignore[no-untyped-call]
                yield from ready.result()
        finally:
            client.cancel(waiting)


def _batches(paths: Sequence[Path]) -> Iterator[Sequence[Path]]:
    """One log takes a few milliseconds, so that each task carries several."""
    return (paths[at : at + BATCH] for at in range(0, len(paths), BATCH))


def _hours_of_files(paths: Sequence[Path]) -> list[LogHours]:
    return [hours_of_file(path) for path in paths]


def _read(path: Path) -> tuple[str, bytes | str]:
    """A file's name with its bytes, or with why it cannot be read."""
    try:
        return str(path), path.read_bytes()
    except OSError as error:
        return str(path), f"{error.strerror}."


def _hours_of_read(batch: Sequence[tuple[str, bytes | str]]) -> list[LogHours]:
    return [
        LogHours(name, refused=said) if isinstance(said, str) else hours_of(name, said)
        for name, said in batch
    ]


def all_of(
    paths: Sequence[Path], workers: int | None, cluster: str | None
) -> closing[Generator[LogHours, None, None]]:
    """The iterator to use, over a cluster where an address is given; leaving its `with` cancels the rest."""
    return closing(over_cluster(paths, cluster) if cluster else over_cores(paths, workers))
