"""The type sheet: everything a workshop knows about one engine type, and the part of it one build needs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Protocol, TypeVar

from pydantic import Field

from tickover.sheets.errors import UnknownRowError, no_such
from tickover.sheets.schema.acts import ActRow
from tickover.sheets.schema.cards import Card
from tickover.sheets.schema.faults import FaultTable
from tickover.sheets.schema.geometry import Geometry
from tickover.sheets.schema.joints import Joint
from tickover.sheets.schema.limits import LimitRow
from tickover.sheets.schema.rows import Build, Id, Kit, KitPiece, Part, Row, Text, Whole
from tickover.sheets.schema.tasks import AccessGroup, TaskRow


class HasId(Protocol):
    """A row found by its id."""

    @property
    def id(self) -> str: ...


R = TypeVar("R", bound=HasId)


class TypeSheet(Row):
    """All about one engine type. `notice` is shown wherever a figure of the sheet is."""

    id: Id
    title: Text
    version: Annotated[Whole, Field(ge=1)]
    notice: Text
    builds: Annotated[tuple[Build, ...], Field(min_length=1)]
    geometry: Geometry
    limits: tuple[LimitRow, ...] = ()
    parts: tuple[Part, ...] = ()
    kits: tuple[Kit, ...] = ()
    joints: tuple[Joint, ...] = ()
    access: tuple[AccessGroup, ...] = ()
    programme: tuple[TaskRow, ...] = ()
    acts: tuple[ActRow, ...] = ()
    cards: tuple[Card, ...] = ()
    faults: FaultTable | None = None

    def build(self, build_id: str) -> Build:
        """The build of that id; UnknownRowError if there is none (so for every lookup below)."""
        return _found("build", build_id, self.builds)

    def limit(self, limit_id: str) -> LimitRow:
        """The limit of that id."""
        return _found("limit", limit_id, self.limits)

    def part(self, part_id: str) -> Part:
        """The part of that id."""
        return _found("part", part_id, self.parts)

    def kit(self, kit_id: str) -> Kit:
        """The kit of that id."""
        return _found("kit", kit_id, self.kits)

    def joint(self, joint_id: str) -> Joint:
        """The joint of that id."""
        return _found("joint", joint_id, self.joints)

    def access_group(self, access_id: str) -> AccessGroup:
        """The access group of that id."""
        return _found("access group", access_id, self.access)

    def task(self, task_id: str) -> TaskRow:
        """The task of that id."""
        return _found("task", task_id, self.programme)

    def contained(self, task_id: str) -> tuple[str, ...]:
        """Every lesser task that a task does as well, with those that they do in turn."""
        tasks = {task.id: task for task in self.programme}
        found: list[str] = []
        waiting = [task_id]
        while waiting:
            task = tasks.get(waiting.pop(0))
            more = [name for name in task.contains if name not in (*found, task_id)] if task else []
            found += more
            waiting += more
        return tuple(found)

    def card(self, card_id: str) -> Card:
        """The work card of that id."""
        return _found("card", card_id, self.cards)

    def build_of_serial(self, serial: int) -> Build | None:
        """The build whose range of serial numbers holds this one, if one does."""
        return next((build for build in self.builds if _in_range(build, serial)), None)

    def for_build(self, build_id: str) -> TypeSheet:
        """The sheet with one build's rows only.

        Kits keep every piece, since the bag is the same for all: `kit_for_build` says what to lay aside.
        """
        build = self.build(build_id)
        return self.model_copy(
            update={
                "builds": (build,),
                "limits": tuple(limit for limit in self.limits if limit.on(build)),
                "joints": tuple(joint.for_build(build) for joint in self.joints if joint.on(build)),
                "programme": tuple(task for task in self.programme if task.on(build)),
                "acts": tuple(act for act in self.acts if act.on(build)),
                "cards": tuple(card.for_build(build) for card in self.cards if card.on(build)),
                "faults": self.faults and self.faults.for_build(build),
            }
        )

    def kit_for_build(self, kit_id: str, build_id: str) -> tuple[list[KitPiece], list[KitPiece]]:
        """The pieces of a kit that a build uses, and those to lay aside, in the kit's order."""
        build, pieces = self.build(build_id), self.kit(kit_id).pieces
        return [p for p in pieces if p.on(build)], [p for p in pieces if not p.on(build)]


def _found(noun: str, row_id: str, rows: Sequence[R]) -> R:
    for row in rows:
        if row.id == row_id:
            return row
    raise UnknownRowError(no_such(noun, row_id, tuple(row.id for row in rows)))


def _in_range(build: Build, serial: int) -> bool:
    if build.serial_from is None and build.serial_to is None:
        return False
    return (build.serial_from or 0) <= serial <= (serial if build.serial_to is None else build.serial_to)
