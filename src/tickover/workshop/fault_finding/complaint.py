"""Which findings does a complaint mean? Plain words held against titles and against how owners say it.

A phrase that the text holds whole counts most; words that few findings have count more than those that many have.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import TypeVar

import snowballstemmer
from rapidfuzz import fuzz

from tickover.sheets import FaultFinding, FaultTest

MOST = 8
LEAST_OF_BEST = 0.25
"""What has less than this share of the best one's points is left out. [-]"""
SHORTEST = 4
"""Letters from which a word that begins like another one, or is nearly it, is taken for it."""
ALIKE = 80.0
"""Two words as alike as this differ by a slip of the finger: `vibrates` and `vibartes`. [% of both words' letters]"""
FILLERS = """
a about after again all also always an and any are as at be been but by can did do does done down for from get gets got
had has have he her his i if in into is it its just like me more much my of off on only or our out over so than that
the then there they this to too up us very was we were when while will with you your
"""
SAYS_NOTHING = frozenset(FILLERS.split())
stem = lru_cache(maxsize=4096)(snowballstemmer.stemmer("english").stemWord)

Row = TypeVar("Row", FaultFinding, FaultFinding | FaultTest)


def rows_meant(rows: Sequence[Row], text: str) -> list[Row]:
    """Findings or tests that the text may mean, the likeliest first."""
    said, common = frozenset(_stems(text)), _common(tuple(_phrases(row) for row in rows))
    points = [_points(_phrases(row), said, common, len(rows)) for row in rows]
    best = max(points, default=0.0)
    order = sorted(range(len(rows)), key=lambda n: -points[n])
    return [rows[n] for n in order if points[n] > 0 and points[n] >= LEAST_OF_BEST * best][:MOST]


def _phrases(row: FaultFinding | FaultTest) -> tuple[str, ...]:
    more = row.words if isinstance(row, FaultFinding) else (row.counts_as_seen,)
    return (row.title, *more)


def _points(phrases: Iterable[str], said: frozenset[str], common: Counter[str], rows: int) -> float:
    """The best phrase, and a little for each other one that is held in part."""
    held = sorted((_held(_stems(phrase), said, common, rows) for phrase in phrases), reverse=True)
    return held[0] + 0.2 * sum(held[1:])


def _held(phrase: tuple[str, ...], said: frozenset[str], common: Counter[str], rows: int) -> float:
    weights = {word: math.log1p(rows / max(1, common[word])) for word in phrase}
    there = sum(weight for word, weight in weights.items() if _is_said(word, said))
    return there * there / sum(weights.values()) if weights else 0.0


def _is_said(word: str, said: frozenset[str]) -> bool:
    if word in said:
        return True
    return len(word) >= SHORTEST and any(len(other) >= SHORTEST and _alike(word, other) for other in said)


@lru_cache(maxsize=65536)
def _alike(word: str, other: str) -> bool:
    return other.startswith(word) or word.startswith(other) or fuzz.ratio(word, other) >= ALIKE


@lru_cache(maxsize=8)
def _common(all_phrases: tuple[tuple[str, ...], ...]) -> Counter[str]:
    """In how many rows each word stands."""
    return Counter(word for phrases in all_phrases for word in {w for p in phrases for w in _stems(p)})


@lru_cache(maxsize=4096)
def _stems(text: str) -> tuple[str, ...]:
    words = re.findall(r"\w+", text.casefold().replace("’", "").replace("'", ""))
    return tuple(stem(word) for word in words if word not in SAYS_NOTHING)
