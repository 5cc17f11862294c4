"""Which engines a changed sheet touches, and what comes due earlier or later by it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from tickover.science.planning.due import Due
from tickover.sheets import TypeSheet
from tickover.workshop.programme import queries as programme
from tickover.workshop.register.models import Engine


@dataclass(frozen=True)
class Moved:
    """One task of one engine whose due point moves; "" where it is not due by the sheet at all."""

    engine: Engine
    title: str
    was: str
    now: str
    way: str


@dataclass(frozen=True)
class Effects:
    """The engines of a type, and every task that moves; `orphans` have a build that is no more."""

    engines: int
    moved: tuple[Moved, ...]
    orphans: tuple[Engine, ...]

    @property
    def sentence(self) -> str:
        """In one line: 12 engines; 3 tasks come due earlier."""
        parts = [f"{self.engines} engine{'' if self.engines == 1 else 's'} of this type"]
        for way, words in _WAYS.items():
            if count := sum(one.way == way for one in self.moved):
                parts.append(f"{count} task{'' if count == 1 else 's'} {words[count > 1]}")
        return "; ".join(parts) + ("." if len(parts) > 1 else "; no due date moves.")


_WAYS = {
    "earlier": ("comes due earlier", "come due earlier"),
    "later": ("comes due later", "come due later"),
    "new": ("is new", "are new"),
    "gone": ("is dropped", "are dropped"),
}


def effects(before: TypeSheet | None, after: TypeSheet, engines: Iterable[Engine]) -> Effects:
    """What keeping `after` in place of `before` does to these engines."""
    engines = list(engines)
    builds = {build.id for build in after.builds}
    orphans = tuple(engine for engine in engines if engine.build_id not in builds)
    touched = [engine for engine in engines if engine.build_id in builds]
    if before is None:
        return Effects(len(engines), (), orphans)
    known = {build.id for build in before.builds}
    there = [engine for engine in touched if engine.build_id in known]
    was, now = programme.dues_by(there, before), programme.dues_by(there, after)
    titles = {task.id: task.title for sheet in (before, after) for task in sheet.programme}
    moved = [
        found
        for engine in there
        for task_id in dict.fromkeys([*was[engine.pk], *now[engine.pk]])
        if (
            found := _moved(engine, titles[task_id], was[engine.pk].get(task_id), now[engine.pk].get(task_id))
        )
    ]
    return Effects(len(engines), tuple(moved), orphans)


def _moved(engine: Engine, title: str, was: Due | None, now: Due | None) -> Moved | None:
    if was is None or now is None:
        return Moved(engine, title, _point(was), _point(now), "new" if was is None else "gone")
    old, new = _sooner(was), _sooner(now)
    if old == new:
        return None
    earlier = any(b < a for a, b in zip(old, new, strict=True))
    return Moved(engine, title, _point(was), _point(now), "earlier" if earlier else "later")


def _sooner(due: Due) -> tuple[float, float]:
    never = float("inf")
    return (never if due.due_h is None else due.due_h, never if due.due_day is None else due.due_day)


def _point(due: Due | None) -> str:
    if due is None:
        return ""
    hours = "" if due.due_h is None else f"{due.due_h:.1f} h"
    day = "" if due.due_day is None else f"{(d := date.fromordinal(due.due_day)).day} {d:%b %Y}"
    return " or ".join(part for part in (hours, day) if part) or "on condition"
