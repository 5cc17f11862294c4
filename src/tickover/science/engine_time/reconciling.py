"""Which minutes does each source of engine time count? Intervals of time, so that no minute counts twice.

Times are seconds on one common axis [s]. A source is a log: it listens from `start_s` to `end_s`, and
hears the engine on in its runs. Of two logs that listen at the same time the better graded one decides,
in its runs and in its silence; the other counts what it heard outside. So the total is never more than
the union of all runs, and does not depend on the order in which the logs come in.

The order of the grades and the spreading of uncertainty are common practice without a source.

References
----------
Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked

Spans = tuple[tuple[float, float], ...]
LATEST_S = 1e12
"""Thirty thousand years: no axis of time has more seconds."""

METER = "engine meter"
GRADES = (
    METER,
    "logger",
    "track log with engine noise",
    "track log without engine noise",
    "log entry",
    "owner's word",
    "estimate",
)


@dataclass(frozen=True)
class Source:
    """One log: when it listened, when it heard the engine on [s], and its grade."""

    start_s: float
    end_s: float
    runs: Spans
    grade: str

    def __post_init__(self) -> None:
        checked_fields(self)
        _refuse_spans((*self.runs, (self.start_s, self.end_s)))
        is_better(self.grade, self.grade)


@dataclass(frozen=True)
class CountedTime:
    """What a source counts: its runs [s], how many of them begin in it, the part of its span it decides."""

    runs: Spans
    starts: int
    decides: float

    @property
    def length_h(self) -> float:
        """Engine time of this share. [h]"""
        return length_s(self.runs) / 3600.0

    @kinds_checked
    def u_h(self, u_whole_h: float) -> float:
        """Standard deviation of this share, the variance of the whole spread evenly over its span. [h]"""
        return checked_one("standard deviation of the whole", u_whole_h, 0.0, 1e6, "h") * math.sqrt(
            self.decides
        )


@dataclass(frozen=True)
class MeterShare:
    """What a meter adds [h], and by how much other records of the period exceed it [h]."""

    added_h: float
    disagreement_h: float


@kinds_checked
def is_better(grade: str, other: str) -> bool:
    """Whether a grade is strictly better. Raises OutOfRangeError for a word that is no grade.

    Parameters
    ----------
    grade, other : str
        One of `GRADES`.

    Returns
    -------
    bool

    Raises
    ------
    OutOfRangeError
        For a grade that is none.

    Examples
    --------
    >>> is_better("engine meter", "track log with engine noise")
    True
    """
    for word in (grade, other):
        if word not in GRADES:
            raise OutOfRangeError(f"{word!r} is no grade of engine time; grades are {', '.join(GRADES)}")
    return GRADES.index(grade) < GRADES.index(other)


@kinds_checked
def joined(spans: Iterable[tuple[float, float]]) -> Spans:
    """The union, in order, what touches made one. [s]"""
    held = tuple(spans)
    _refuse_spans(held)
    return _joined(held)


def _joined(spans: Iterable[tuple[float, float]]) -> Spans:
    found: list[tuple[float, float]] = []
    for start_s, end_s in sorted(s for s in spans if s[1] > s[0]):
        if found and start_s <= found[-1][1]:
            found[-1] = (found[-1][0], max(end_s, found[-1][1]))
        else:
            found.append((start_s, end_s))
    return tuple(found)


@kinds_checked
def within(spans: Spans, start_s: float, end_s: float) -> Spans:
    """What of the spans lies between two times. [s]

    Parameters
    ----------
    spans : tuple of pairs of float
        Begin and end of each, in any order. [s]
    start_s, end_s : float
        The two times. [s]

    Returns
    -------
    Spans

    Raises
    ------
    OutOfRangeError
        For a span that ends before it begins, and for what is no number.

    Examples
    --------
    >>> within(((0.0, 2.0), (5.0, 6.0)), start_s=1.0, end_s=5.5)
    ((1.0, 2.0), (5.0, 5.5))
    """
    _refuse_spans((*spans, (start_s, end_s)))
    return _between(spans, start_s, end_s)


def _between(spans: Spans, start_s: float, end_s: float) -> Spans:
    return _joined((max(a, start_s), min(b, end_s)) for a, b in spans)


@kinds_checked
def without(spans: Spans, taken: Iterable[tuple[float, float]]) -> Spans:
    """What of the spans lies outside all that is taken. [s]

    Parameters
    ----------
    spans : tuple of pairs of float
        Begin and end of each, in any order. [s]
    taken : iterable of pairs of float
        What is taken out. [s]

    Returns
    -------
    Spans

    Raises
    ------
    OutOfRangeError
        For a span that ends before it begins, and for what is no number.

    Examples
    --------
    >>> without(((0.0, 2.0), (5.0, 6.0)), taken=((1.0, 1.5),))
    ((0.0, 1.0), (1.5, 2.0), (5.0, 6.0))
    """
    _refuse_spans((*spans, *taken))
    left = _joined(spans)
    for start_s, end_s in taken:
        left = _joined((*_between(left, -math.inf, start_s), *_between(left, end_s, math.inf)))
    return left


@kinds_checked
def length_s(spans: Spans) -> float:
    """Length of spans that do not overlap. [s]"""
    _refuse_spans(spans)
    return math.fsum(b - a for a, b in spans)


@kinds_checked
def share(source: Source, others: Sequence[Source]) -> CountedTime:
    """What one source counts beside others; those of equal or lesser grade take nothing from it.

    A run that goes on into a better log is one start, and counted there.

    Parameters
    ----------
    source : Source
        The log that is asked about.
    others : sequence of Source
        All other logs; those that do not overlap take nothing.

    Returns
    -------
    CountedTime

    Raises
    ------
    OutOfRangeError
        For a grade that is none.

    Examples
    --------
    >>> log = Source(0.0, 100.0, ((10.0, 40.0),), "logger")
    >>> meter = Source(20.0, 60.0, ((25.0, 35.0),), "engine meter")
    >>> share(log, [meter]).runs
    ((10.0, 20.0),)
    """
    better = [o for o in others if is_better(o.grade, source.grade)]
    taken = [(o.start_s, o.end_s) for o in better]
    runs = without(source.runs, taken)
    goes_on = {a for o in better for a, _ in o.runs}
    begins = {a for a, _ in joined(source.runs)}
    starts = sum(1 for a, b in runs if a in begins and b not in goes_on)
    span_s = source.end_s - source.start_s
    left_s = length_s(without(((source.start_s, source.end_s),), taken))
    return CountedTime(runs, starts, left_s / span_s if span_s > 0.0 else 1.0)


@kinds_checked
def _refuse_spans(spans: Iterable[tuple[float, float]]) -> None:
    for span in spans:
        if not (abs(span[0]) <= LATEST_S and abs(span[1]) <= LATEST_S):
            raise OutOfRangeError(f"a span of time must go from one number of seconds to another; got {span}")


def meter_share(difference_h: float, counted_h: float) -> MeterShare:
    """What a meter adds to a period in which other records count already.

    The difference of the two readings is the total of the period, so the meter adds what is missing from
    it. Where the others have more, it adds nothing, and the disagreement is told.

    Parameters
    ----------
    difference_h : float
        Later reading less earlier reading. [h]
    counted_h : float
        Engine time that other records count in the period. [h]

    Returns
    -------
    MeterShare

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{meter_share(difference_h=3.0, counted_h=2.5).added_h:.4g}")
    0.5
    """
    difference = checked_one("difference of the readings", difference_h, -1e6, 1e6, "h")
    left_h = difference - checked_one("hours counted", counted_h, 0.0, 1e6, "h")
    return MeterShare(max(left_h, 0.0), max(-left_h, 0.0))


@kinds_checked
def part_before(start_s: float, end_s: float, runs: Spans, moment_s: float) -> float:
    """Part of a record's engine time that lies before a moment, 0 to 1.

    By its runs where they are known; otherwise its time is spread evenly from start to end.

    Parameters
    ----------
    start_s, end_s : float
        Begin and end of the record. [s]
    runs : tuple of pairs of float
        Its runs; () where they are not known. [s]
    moment_s : float
        The time before which it is asked. [s]

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        For a span that ends before it begins, and for what is no number.

    Examples
    --------
    >>> print(f"{part_before(0.0, 100.0, ((10.0, 40.0),), moment_s=30.0):.3f}")
    0.667
    >>> part_before(0.0, 100.0, (), moment_s=30.0)
    0.3
    """
    _refuse_spans((*runs, (start_s, end_s), (moment_s, moment_s)))
    if moment_s >= end_s:
        return 1.0
    if moment_s <= start_s:
        return 0.0
    if whole_s := length_s(runs):
        return length_s(within(runs, start_s, moment_s)) / whole_s
    return (moment_s - start_s) / (end_s - start_s)
