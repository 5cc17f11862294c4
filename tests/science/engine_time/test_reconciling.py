"""No minute counts twice. Checked against minutes counted one by one, not by intervals."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.engine_time.reconciling import (
    GRADES,
    Source,
    is_better,
    joined,
    length_s,
    meter_share,
    part_before,
    share,
    within,
    without,
)

SECONDS = 60
LOGS = GRADES[1:4]
edge = st.integers(0, SECONDS)
spans = st.lists(st.tuples(edge, edge).map(sorted).map(tuple), max_size=6)


@st.composite
def sources(draw: st.DrawFn, grade: str) -> Source:
    start, end = sorted(draw(st.lists(edge, min_size=2, max_size=2, unique=True)))
    inner = st.integers(start, end)
    runs = draw(st.lists(st.tuples(inner, inner).map(sorted).map(tuple), max_size=3))
    return Source(start, end, joined(runs), grade)


one_of_each_grade = st.tuples(*(sources(grade) for grade in LOGS))


def counted(spans: object) -> set[int]:
    """The seconds inside, one by one."""
    return {s for a, b in spans for s in range(int(a), int(b))}  # type: ignore[attr-defined]


def minutes_by_hand(logs: tuple[Source, ...]) -> set[int]:
    """Second by second: the best log that listens then decides."""
    on = set()
    for second in range(SECONDS):
        listening = [log for log in logs if log.start_s <= second < log.end_s]
        if listening:
            best = min(listening, key=lambda log: GRADES.index(log.grade))
            on |= {second} & counted(best.runs)
    return on


@given(spans, spans)
def test_spans_joined_and_taken_away_are_as_sets_of_seconds(one: list, other: list) -> None:
    assert counted(joined(one)) == counted(one)
    assert counted(without(joined(one), other)) == counted(one) - counted(other)
    assert length_s(joined(one)) == len(counted(one))


@given(spans, edge, edge)
def test_a_window_keeps_what_is_inside(one: list, start: int, end: int) -> None:
    assert counted(within(joined(one), start, end)) == counted(one) & set(range(start, end))


@given(one_of_each_grade)
def test_the_best_log_that_listens_decides_each_second(logs: tuple[Source, ...]) -> None:
    shares = [share(log, [o for o in logs if o is not log]) for log in logs]
    assert sum(length_s(s.runs) for s in shares) == len(minutes_by_hand(logs))


@given(one_of_each_grade)
def test_the_total_is_never_more_than_the_union_of_the_runs(logs: tuple[Source, ...]) -> None:
    total_s = sum(length_s(share(log, logs).runs) for log in logs)
    assert total_s <= length_s(joined(itertools.chain(*(log.runs for log in logs))))


@given(one_of_each_grade, st.permutations(range(3)))
def test_the_order_of_the_logs_does_not_matter(logs: tuple[Source, ...], order: list[int]) -> None:
    turned = [logs[n] for n in order]
    assert {log.grade: share(log, turned) for log in turned} == {log.grade: share(log, logs) for log in logs}


def test_a_run_that_goes_on_into_a_better_log_is_one_start() -> None:
    better = Source(100.0, 200.0, ((100.0, 150.0),), "logger")
    lesser = Source(0.0, 120.0, ((10.0, 20.0), (50.0, 120.0)), "track log with engine noise")
    kept = share(lesser, [better])
    assert (kept.runs, kept.starts) == (((10.0, 20.0), (50.0, 100.0)), 1)
    assert kept.decides == pytest.approx(100 / 120)
    assert kept.u_h(0.1) == pytest.approx(0.1 * (100 / 120) ** 0.5)


def test_an_equal_grade_takes_nothing() -> None:
    log = Source(0.0, 10.0, ((0.0, 10.0),), "logger")
    assert share(log, [Source(5.0, 10.0, (), "logger")]).runs == ((0.0, 10.0),)


def test_grades_are_ordered_and_a_word_that_is_none_is_refused() -> None:
    assert is_better("engine meter", "logger") and not is_better("estimate", "owner's word")
    with pytest.raises(ValueError, match="hearsay"):
        is_better("hearsay", "logger")


@pytest.mark.parametrize(
    ("difference_h", "counted_h", "added_h", "disagreement_h"),
    [(5.0, 3.0, 2.0, 0.0), (5.0, 0.0, 5.0, 0.0), (5.0, 5.0, 0.0, 0.0), (5.0, 6.5, 0.0, 1.5)],
)
def test_a_meter_adds_what_is_missing(
    difference_h: float, counted_h: float, added_h: float, disagreement_h: float
) -> None:
    found = meter_share(difference_h, counted_h)
    assert (found.added_h, found.disagreement_h) == (added_h, disagreement_h)


@given(sources("logger"), edge)
def test_the_part_before_a_moment_is_the_run_time_before_it(log: Source, moment: int) -> None:
    part = part_before(log.start_s, log.end_s, log.runs, moment)
    if log.runs:
        assert part * length_s(log.runs) == pytest.approx(len(counted(within(log.runs, 0, moment))))
    else:
        by_clock = (moment - log.start_s) / (log.end_s - log.start_s)
        assert part == pytest.approx(min(1.0, max(0.0, by_clock)))
