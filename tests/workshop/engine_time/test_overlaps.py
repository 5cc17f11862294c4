"""Two records of one flight: found, brought in line, and never counted twice."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tickover.science.engine_time.reconciling import joined, length_s
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import at_a_time
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.reading_logs import ReadLog
from tickover.workshop.register import actions
from tickover.workshop.register.models import RECONCILED, EngineTimeEntry

pytestmark = pytest.mark.usefixtures("verified")

LOGGER, NOISE, SPEED = "logger", "track log with engine noise", "track log without engine noise"
DAY = date(2025, 5, 4)


@dataclass(frozen=True)
class Flight:
    """A log in minutes from 09:00: when it listened, when it heard the engine."""

    grade: str
    start: float
    end: float
    runs: tuple[tuple[float, float], ...]

    @property
    def data(self) -> bytes:
        return json.dumps([self.grade, self.start, self.end, self.runs]).encode()


def read_flight(data: bytes, **_: Any) -> ReadLog:
    """Stands in for the reading of files: the log says itself what it heard."""
    grade, start, end, runs = json.loads(data)
    seconds = [SimpleNamespace(start_s=32_400 + 60 * a, end_s=32_400 + 60 * b) for a, b in runs]
    nine = datetime(2025, 5, 4, 9, tzinfo=UTC)
    log = SimpleNamespace(date=DAY, start=nine + timedelta(minutes=start), end=nine + timedelta(minutes=end))
    found = SimpleNamespace(
        runs=seconds,
        doubtful=(),
        duration_h=sum(r.end_s - r.start_s for r in seconds) / 3600,
        u_h=0.01,
        starts=len(seconds),
        grade=grade,
        method="told",
        remarks=(),
    )
    return ReadLog(log, found)  # type: ignore[arg-type]


@pytest.fixture
def add(crew: Any, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Callable[..., EngineTimeEntry]:
    monkeypatch.setattr(time_actions, "read_track_log", read_flight)

    def add(engine: Any, flight: Flight) -> EngineTimeEntry:
        return time_actions.add_track_log(engine, flight.data, "told.igc", who=crew.technician, at=now)

    return add


WHOLE = Flight(SPEED, 0, 60, ((0, 60),))
MIDDLE = Flight(NOISE, 20, 40, ((25, 35),))


def minutes(engine: Any) -> float:
    return round(60 * engine_time.total_time(engine).hours_h, 6)


@pytest.mark.parametrize("order", [(WHOLE, MIDDLE), (MIDDLE, WHOLE)], ids=["lesser first", "better first"])
def test_the_better_log_decides_where_both_listen(add: Any, outer: Any, order: Sequence[Flight]) -> None:
    for flight in order:
        add(outer, flight)
    # 0 to 20 and 40 to 60 by the lesser, 25 to 35 by the better.
    assert minutes(outer) == 50
    lesser = engine_time.counting_entries(outer).get(grade=SPEED)
    assert lesser.method == RECONCILED and len(lesser.runs) == 2
    assert minutes_of(at_a_time.original(lesser)) == 60
    assert "left to it" in lesser.remarks[0]


def minutes_of(entry: EngineTimeEntry) -> float:
    return round(60 * entry.duration_h, 6)


def test_both_entries_of_a_reconciled_log_stay_visible(add: Any, outer: Any) -> None:
    first = add(outer, WHOLE)
    add(outer, MIDDLE)
    lines = {line.sequence: line for line in engine_time.time_lines(outer)}
    assert lines[first.entry_sequence].replaced
    assert any(line.replaces_sequence == first.entry_sequence for line in lines.values())


def test_the_entry_given_back_is_the_one_that_counts(add: Any, outer: Any) -> None:
    add(outer, MIDDLE)
    assert minutes_of(add(outer, WHOLE)) == 40


def test_withdrawing_the_better_log_gives_its_minutes_back(
    add: Any, outer: Any, crew: Any, now: datetime
) -> None:
    add(outer, WHOLE)
    better = add(outer, MIDDLE)
    time_actions.withdraw(better, "another engine's", who=crew.technician, at=now)
    assert minutes(outer) == 60
    assert "counts again" in engine_time.counting_entries(outer).get(grade=SPEED).remarks[0]


def test_a_flight_that_a_better_log_covers_whole_is_refused(add: Any, outer: Any) -> None:
    add(outer, Flight(NOISE, 0, 60, ((5, 50),)))
    with pytest.raises(actions.RegisterError, match="never counted twice"):
        add(outer, Flight(SPEED, 10, 60, ((10, 55),)))
    assert minutes(outer) == 45


def test_an_overlap_at_the_same_grade_is_refused(add: Any, outer: Any) -> None:
    add(outer, MIDDLE)
    with pytest.raises(actions.RegisterError, match="Withdraw the earlier entry first"):
        add(outer, Flight(NOISE, 39, 80, ((50, 60),)))


def test_real_files_of_two_grades_are_brought_in_line(
    crew: Any, now: datetime, outer: Any, igc: Callable[..., bytes]
) -> None:
    early = now - timedelta(days=1)
    for data in (igc(early, channel=None), igc(early + timedelta(minutes=10), minutes=15)):
        time_actions.add_track_log(outer, data, "flight.igc", who=crew.technician, at=now)
    assert engine_time.counting_entries(outer).count() == 2
    # One flight of half an hour: the lesser log counts ten minutes before, and what comes after.
    assert engine_time.total_time(outer).hours_h < 0.75
    assert np.isfinite(engine_time.total_time(outer).sd_h)


def test_hours_typed_for_the_day_of_a_log_are_asked_about(
    add: Any, outer: Any, hours: Callable[..., Any]
) -> None:
    typed = hours(outer, 1.0, DAY)
    entry = add(outer, MIDDLE)
    assert f"journal entry {typed.entry_sequence}" in entry.remarks[-1]
    assert "If it is the same flight, withdraw one" in entry.remarks[-1]
    again = hours(outer, 0.5, DAY)
    assert f"journal entry {entry.entry_sequence}" in again.remarks[-1]


whole_minutes = st.integers(0, 90)


@st.composite
def flights(draw: st.DrawFn, grade: str) -> Flight:
    start, end = sorted(draw(st.lists(whole_minutes, min_size=2, max_size=2, unique=True)))
    edges = sorted(draw(st.sets(st.integers(start, end), max_size=4)))
    return Flight(grade, start, end, tuple(zip(edges[::2], edges[1::2], strict=False)))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(logs=st.tuples(flights(LOGGER), flights(NOISE), flights(SPEED)))
def test_no_order_of_logs_counts_a_minute_twice(add: Any, outer: Any, logs: tuple[Flight, ...]) -> None:
    totals = [total_in_this_order(add, outer, order) for order in itertools.permutations(logs)]
    union_min = length_s(joined(itertools.chain(*(log.runs for log in logs))))
    assert max(totals) == pytest.approx(min(totals), abs=1e-6)
    assert max(totals) <= union_min + 1e-6


def total_in_this_order(add: Any, engine: Any, order: Sequence[Flight]) -> float:
    """What the engine has after these logs; then all of it is taken back."""
    with transaction.atomic():
        for flight in order:
            try:
                add(engine, flight)
            except actions.RegisterError as error:
                assert "never counted twice" in str(error)
        total = minutes(engine)
        transaction.set_rollback(True)
    return total


def test_the_file_of_a_reconciled_log_is_not_added_again(add: Any, outer: Any, inner: Any) -> None:
    add(outer, WHOLE)
    add(outer, MIDDLE)
    with pytest.raises(actions.RegisterError, match="very file was added already"):
        add(inner, WHOLE)
