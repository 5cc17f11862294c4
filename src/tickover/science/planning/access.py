"""What has to be opened for a visit's tasks, and how many minutes are saved by opening it once?

An opening may require others before it: the reed block is reached with the air box and the carburettor off.
The minutes of the tasks are added, those of each opening are counted once for all tasks that need it.

Notes
-----
All minutes are the workshop's own or common practice, no source. Two tasks that need the same thing open are
supposed not to hinder each other, and closing is supposed to cost the same after one task as after five.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working

__all__ = [
    "AccessOffer",
    "Opening",
    "Shared",
    "Task",
    "VisitMinutes",
    "offers",
    "opened_for",
    "visit_minutes",
]

MOST_MIN = 1e5
"""Two hundred working days: nothing on a small engine takes longer. [min]"""


class Opening(Protocol):
    """Something that is opened and closed again; an access group of a type sheet is one. [min]"""

    @property
    def id(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def minutes(self) -> float: ...
    @property
    def requires(self) -> tuple[str, ...]: ...


class Task(Protocol):
    """Work behind openings; a row of a programme is one. `minutes` is the work alone. [min]"""

    @property
    def id(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def minutes(self) -> float: ...
    @property
    def access(self) -> tuple[str, ...]: ...


@dataclass(frozen=True)
class Shared:
    """Openings that the same tasks share, and what opening them once saves. [min]"""

    openings: tuple[str, ...]
    tasks: tuple[str, ...]
    saved_min: float

    def in_words(self) -> str:
        """For example "Carburettor off: opened once for Reed block and Pop-off, 18 min saved"."""
        named = f"{', '.join(self.tasks[:-1])} and {self.tasks[-1]}"
        return f"{'; '.join(self.openings)}: opened once for {named}, {self.saved_min:g} min saved"


@dataclass(frozen=True)
class VisitMinutes:
    """How long a visit takes, and how long its tasks would take one by one. [min]

    `openings`: titles, in an order in which they can be opened; one that costs no minutes is left out.
    """

    work_min: float
    access_min: float
    alone_min: float
    openings: tuple[str, ...]
    shared: tuple[Shared, ...]

    @property
    def total_min(self) -> float:
        """Work and openings together. [min]"""
        return self.work_min + self.access_min

    @property
    def saved_min(self) -> float:
        """Against opening for each task by itself. [min]"""
        return self.alone_min - self.total_min

    def working(self, title: str = "minutes of the visit") -> Working:
        """How the minutes come about."""
        return Working(
            title=title,
            formula="sum of the tasks' minutes + minutes of each opening, once",
            inputs=(
                Quantity("tasks", self.work_min, "min"),
                Quantity("openings", self.access_min, "min", "; ".join(self.openings)),
                Quantity("each task opened for by itself", self.alone_min, "min"),
            ),
            result=Quantity("visit", self.total_min, "min"),
            validity="tasks behind one opening do not hinder each other; no finding adds work",
            source="minutes of the type sheet",
            authority="common practice, no source",
        )


@dataclass(frozen=True)
class AccessOffer:
    """A further task while things are open: the minutes it adds, and those it would cost more alone. [min]"""

    task: str
    extra_min: float
    saved_min: float
    already_open: tuple[str, ...]

    def in_words(self) -> str:
        """For example "already open, Carburettor off: Reed block, 18 min saved"."""
        return f"already open, {'; '.join(self.already_open)}: {self.task}, {self.saved_min:g} min saved"


@kinds_checked
def opened_for(names: Iterable[str], access: Iterable[Opening]) -> tuple[Opening, ...]:
    """The openings named and all that they require, each once, what is required first.

    Returns
    -------
    tuple[Opening, ...]

    Raises
    ------
    OutOfRangeError
        For a name that is not in `access`, and for an opening that would require itself.
    """
    known = {opening.id: opening for opening in checked_openings(access)}
    order: dict[str, Opening] = {}
    for name in names:
        _open(name, known, order, ())
    return tuple(order.values())


@kinds_checked
def visit_minutes(tasks: Sequence[Task], access: Iterable[Opening]) -> VisitMinutes:
    """Minutes of a visit that does these tasks together, and what it saves.

    Returns
    -------
    VisitMinutes

    Raises
    ------
    OutOfRangeError
        As `opened_for`.
    """
    known = tuple(access)
    needed = [opened_for(task.access, known) for task in tasks]
    users: dict[str, list[str]] = {}
    for task, openings in zip(tasks, needed, strict=True):
        for opening in openings:
            users.setdefault(opening.id, []).append(task.title)
    once = [o for o in opened_for((name for task in tasks for name in task.access), known) if o.minutes > 0]
    work = sum(task.minutes for task in tasks)
    return VisitMinutes(
        work_min=work,
        access_min=sum(opening.minutes for opening in once),
        alone_min=work + sum(opening.minutes for openings in needed for opening in openings),
        openings=tuple(opening.title for opening in once),
        shared=_shared(once, users),
    )


@kinds_checked
def offers(
    planned: Sequence[Task], further: Iterable[Task], access: Iterable[Opening]
) -> tuple[AccessOffer, ...]:
    """Which further tasks are cheaper while the planned ones have things open; the largest saving first.

    Whether it is too early for one of them is another question, which `visits` answers.

    Returns
    -------
    tuple[AccessOffer, ...]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    known = tuple(access)
    open_now = {o.id for o in opened_for((name for task in planned for name in task.access), known)}
    found = [_offer(task, opened_for(task.access, known), open_now) for task in further]
    return tuple(sorted((o for o in found if o.saved_min > 0), key=lambda offer: -offer.saved_min))


def checked_openings(access: Iterable[Opening]) -> tuple[Opening, ...]:
    """Openings, if each has an id, a title, openings before it by their ids, and minutes that can be."""
    known = tuple(access)
    for opening in known:
        checked_one(f"minutes of {opening.title}", opening.minutes, 0.0, MOST_MIN, "min")
        if not all(isinstance(text, str) for text in (opening.id, opening.title, *opening.requires)):
            raise OutOfRangeError(
                f"{opening.title}: its id, its title and what is open before it must be text"
            )
    return known


def _open(name: str, known: Mapping[str, Opening], order: dict[str, Opening], below: tuple[str, ...]) -> None:
    if name in below:
        raise OutOfRangeError(f'"{name}" would have to be open before itself: {" -> ".join((*below, name))}')
    if name not in known:
        raise OutOfRangeError(f'no opening is called "{name}"; there are: {", ".join(known) or "none"}')
    for required in known[name].requires:
        _open(required, known, order, (*below, name))
    order.setdefault(name, known[name])


def _shared(openings: Iterable[Opening], users: Mapping[str, list[str]]) -> tuple[Shared, ...]:
    """Openings used more than once; those of the same tasks in one line."""
    together: dict[tuple[str, ...], list[Opening]] = {}
    for opening in openings:
        if len(users[opening.id]) > 1:
            together.setdefault(tuple(users[opening.id]), []).append(opening)
    return tuple(
        Shared(tuple(o.title for o in group), tasks, (len(tasks) - 1) * sum(o.minutes for o in group))
        for tasks, group in together.items()
    )


def _offer(task: Task, openings: Iterable[Opening], open_now: set[str]) -> AccessOffer:
    done = [o for o in openings if o.id in open_now and o.minutes > 0]
    extra = sum(o.minutes for o in openings if o.id not in open_now)
    return AccessOffer(
        task.title, task.minutes + extra, sum(o.minutes for o in done), tuple(o.title for o in done)
    )
