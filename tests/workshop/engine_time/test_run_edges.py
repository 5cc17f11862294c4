"""A person moves the edges of a run, where the log is wrong about when the engine ran."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import at_a_time
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.edge_actions import may_be_moved, move_edges, runs_of
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register import actions
from tickover.workshop.register.models import EngineTimeEntry

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def log(crew: Any, outer: Any, now: datetime, igc: Callable[..., bytes]) -> EngineTimeEntry:
    return time_actions.add_track_log(outer, igc(), "Tuesday.igc", who=crew.technician, at=now)


@pytest.fixture
def move(crew: Any, now: datetime) -> Callable[..., EngineTimeEntry]:
    def move(entry: EngineTimeEntry, *runs: tuple[datetime, datetime], reason: str = "I timed it") -> Any:
        return move_edges(entry, runs, reason, who=crew.technician, at=now)

    return move


def later(moment: datetime, minutes: float) -> datetime:
    return moment + timedelta(minutes=minutes)


def test_a_moved_edge_changes_the_time_and_both_entries_stay(move: Any, log: Any, outer: Any) -> None:
    ((start, end),) = runs_of(log)
    moved = move(log, (start, later(end, -10)))
    assert moved.duration_h == pytest.approx(log.duration_h - 1 / 6)
    assert engine_time.total_time(outer).hours_h == moved.duration_h
    assert (moved.method, moved.grade, moved.replaces) == ("runs moved by hand", log.grade, log)
    assert moved.sd_h >= log.sd_h
    assert moved.remarks[0] == "I timed it" and "The log by itself" in moved.remarks[1]
    assert [line.replaced for line in engine_time.time_lines(outer)] == [False, True]
    assert moved.evidence == log.evidence


def test_a_run_is_taken_out_or_put_in(move: Any, log: Any, outer: Any) -> None:
    ((start, end),) = runs_of(log)
    two = move(log, (start, later(start, 5)), (later(start, 8), end))
    assert two.starts == 2
    none = move(two)
    assert (none.duration_h, none.starts) == (0.0, 0)
    assert engine_time.total_time(outer).hours_h == 0.0


def test_edges_are_moved_again_from_where_they_are(move: Any, log: Any, outer: Any) -> None:
    ((start, end),) = runs_of(log)
    again = move(move(log, (later(start, 2), end)), (later(start, 3), end))
    assert again.duration_h == pytest.approx(log.duration_h - 3 / 60)
    assert engine_time.counting_entries(outer).count() == 1


REFUSED: dict[str, tuple[Callable[[datetime, datetime], Any], str]] = {
    "ends before it starts": (lambda a, b: [(b, a)], "before it starts"),
    "before the log": (lambda a, b: [(later(a, -30), b)], "lies outside the log"),
    "after the log": (lambda a, b: [(a, later(b, 30))], "lies outside the log"),
    "two overlap": (lambda a, b: [(a, later(a, 5)), (later(a, 4), b)], "Two runs overlap"),
    "Nothing differs": (lambda a, b: [(a, b)], "Nothing differs"),
    "within a second": (lambda a, b: [(a + timedelta(seconds=0.5), b)], "Nothing differs"),
}


@pytest.mark.parametrize(("runs", "says"), REFUSED.values(), ids=list(REFUSED))
def test_runs_that_cannot_be_are_refused(move: Any, log: Any, runs: Any, says: str) -> None:
    before = Entry.objects.count()
    with pytest.raises(actions.RegisterError, match=says):
        move(log, *runs(*runs_of(log)[0]))
    assert Entry.objects.count() == before


def test_a_reason_is_asked_for(move: Any, log: Any) -> None:
    with pytest.raises(actions.RegisterError, match="how you know when the engine ran"):
        move(log, reason=" ")


def test_only_a_log_that_counts_has_edges(
    move: Any, log: Any, outer: Any, hours: Any, crew: Any, now: datetime
) -> None:
    typed = hours(outer, 1.0)
    assert not may_be_moved(typed)
    with pytest.raises(actions.RegisterError, match="Only a log has runs"):
        move(typed)
    withdrawal = time_actions.withdraw(log, "wrong engine", who=crew.technician, at=now)
    with pytest.raises(actions.RegisterError, match="replaced already"):
        move(log)
    assert not may_be_moved(withdrawal)


def test_moved_runs_leave_to_a_better_log_what_it_covers(
    move: Any, outer: Any, crew: Any, now: datetime, igc: Callable[..., bytes]
) -> None:
    early = now - timedelta(days=1)
    speed = time_actions.add_track_log(outer, igc(early, channel=None), "a.igc", who=crew.technician, at=now)
    inside = igc(early + timedelta(minutes=10), minutes=15)
    better = time_actions.add_track_log(outer, inside, "b.igc", who=crew.technician, at=now)
    standing = engine_time.counting_entries(outer).get(grade=speed.grade)
    moved = move(standing, (later(early, 1), later(early, 30)))
    assert at_a_time.original(moved).duration_h == pytest.approx(29 / 60)
    assert moved.duration_h < 29 / 60
    time_actions.withdraw(better, "another engine's", who=crew.technician, at=now)
    assert engine_time.total_time(outer).hours_h == pytest.approx(29 / 60)


def test_edges_are_moved_on_the_entrys_page(signed_in: Any, crew: Any, log: Any, outer: Any) -> None:
    page = signed_in(crew.technician)
    address = f"/engines/1200/time/{log.entry_sequence}/"
    ((start, end),) = runs_of(log)
    assert f'value="{start:%H:%M:%S}"' in page.get(address).content.decode()
    sent = {"start_0": f"{start:%H:%M:%S}", "end_0": f"{later(end, -10):%H:%M:%S}", "reason": "timed"}
    answer = page.post(f"{address}runs/", sent)
    moved = EngineTimeEntry.objects.get(method="runs moved by hand")
    assert answer["Location"] == f"/engines/1200/time/{moved.entry_sequence}/"
    assert moved.duration_h == pytest.approx(log.duration_h - 1 / 6, abs=1 / 3600)
    assert "runs moved by hand" in page.get(answer["Location"]).content.decode()
    assert "Replaced by" in page.get(address).content.decode()


@pytest.mark.parametrize(
    "sent",
    [
        {"start_0": "09:10:00", "end_0": "", "reason": "x"},
        {"start_0": "25:10:00", "end_0": "09:12:00", "reason": "x"},
        {"start_0": "09:10:00", "end_0": "09:05:00", "reason": "x"},
        {"reason": ""},
    ],
    ids=["one edge only", "no time of day", "backwards", "no reason"],
)
def test_a_form_filled_in_wrongly_changes_nothing(
    signed_in: Any, crew: Any, log: Any, sent: dict[str, str]
) -> None:
    before = Entry.objects.count()
    address = f"/engines/1200/time/{log.entry_sequence}/"
    answer = signed_in(crew.technician).post(f"{address}runs/", sent)
    page = answer.content.decode()
    assert answer.status_code == 422 and 'class="refused"' in page and Entry.objects.count() == before
    assert all(f'value="{typed}"' in page for typed in sent.values() if typed)


def test_a_flight_past_midnight_has_its_edges_on_both_days(
    signed_in: Any, crew: Any, outer: Any, now: datetime, igc: Callable[..., bytes]
) -> None:
    late = datetime(2025, 5, 3, 23, 50, tzinfo=UTC)
    log = time_actions.add_track_log(outer, igc(late), "night.igc", who=crew.technician, at=now)
    sent = {"start_0": "23:55:00", "end_0": "00:10:00", "reason": "by the watch"}
    signed_in(crew.technician).post(f"/engines/1200/time/{log.entry_sequence}/runs/", sent)
    assert engine_time.total_time(outer).hours_h == pytest.approx(0.25)
