"""Runs figure by figure: two of them beside one another, and one beside what is usual for its engine."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from tickover.language.amounts import spread, units
from tickover.science.core.working import Working
from tickover.science.run_up import Baseline, Measure, RunUpJudgement

NAMED = 3


@dataclass(frozen=True)
class Change:
    """One figure in both runs; a run without it leaves no change to tell."""

    first: Measure
    second: Measure

    @property
    def change(self) -> float | None:
        if self.first.value is None or self.second.value is None:
            return None
        return self.second.value - self.first.value

    @property
    def expanded(self) -> float:
        """Two standard uncertainties of the change, by reading both off."""
        return 2.0 * math.hypot(self.first.standard_uncertainty, self.second.standard_uncertainty)

    @property
    def significant(self) -> bool:
        """Whether it changed by more than that."""
        return self.change is not None and self.expanded < abs(self.change)

    @property
    def sentence(self) -> str:
        assert self.change is not None
        sign = "+" if self.change > 0 else "\N{MINUS SIGN}"
        size = f"{sign}{abs(self.change):.3g} {self.first.unit}"
        return units(f"{self.first.title} {size} (± {spread(self.expanded)})")


@dataclass(frozen=True)
class Usual:
    """A figure of the newest run beside the accepted ones; `judged`: the newest is not one of them itself."""

    measure: Measure
    baseline: Baseline
    judged: bool

    @property
    def span(self) -> tuple[float, float] | None:
        """Where the next run is expected; None while too few are accepted."""
        if not self.baseline.enough:
            return None
        expected = self.baseline.interval(self.measure.standard_uncertainty)
        return expected.lower, expected.upper

    @property
    def outside(self) -> bool:
        value, span = self.measure.value, self.span
        return self.judged and value is not None and span is not None and not span[0] <= value <= span[1]

    @property
    def working(self) -> Working:
        return self.baseline.working(self.measure.title, self.measure.unit, self.measure.standard_uncertainty)


def usual(newest: RunUpJudgement, own: Mapping[str, Baseline], *, judged: bool) -> list[Usual]:
    """Every figure that is known of accepted runs."""
    return [Usual(m, own[m.id], judged) for m in newest.measures if m.id in own]


def changes(first: RunUpJudgement, second: RunUpJudgement) -> list[Change]:
    """Every figure that either run holds."""
    pairs = zip(first.measures, second.measures, strict=True)
    return [Change(a, b) for a, b in pairs if a.value is not None or b.value is not None]


def in_words(found: list[Change]) -> str:
    """What changed most, against its own uncertainty, first."""
    significant = sorted(
        (c for c in found if c.significant), key=lambda c: -abs(c.change or 0.0) / c.expanded
    )
    if not significant:
        return "No figure changed by more than its uncertainty."
    more = f", and {len(significant) - NAMED} more" if len(significant) > NAMED else ""
    return f"Changed: {'; '.join(c.sentence for c in significant[:NAMED])}{more}."
