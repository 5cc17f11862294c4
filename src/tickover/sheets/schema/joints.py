"""Joints: what lies on what, which holes must line up through it, and how it is tightened."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from tickover.sheets.schema.rows import Authority, Build, BuildRow, Id, Positive, Row, Text, Whole


class Layer(BuildRow):
    """One layer of a stack. `part` is the piece of the sheet, absent for what stays on the engine."""

    title: Text
    kind: Literal["body", "gasket", "diaphragm", "plate", "o-ring", "insulator", "cover"]
    part: Id | None = None
    holes: tuple[Id, ...] = ()


class Hole(BuildRow):
    """A passage through the stack: every layer from its first to its last must be open there."""

    id: Id
    title: Text


class Fasteners(Row):
    """Screws or nuts of a joint. Torques [N.m]; `passes` rise as fractions of `torque_nm`, the last is 1."""

    count: Annotated[Whole, Field(ge=1)]
    size: Text
    pattern: Literal["x", "ring", "pair"]
    torque_nm: Positive | None = None
    torque_max_nm: Positive | None = None
    passes: tuple[Positive, ...] = ()
    note: str = ""
    authority: Authority
    source: str = ""

    @field_validator("torque_max_nm")
    @classmethod
    def _most_is_no_less(cls, most: float | None, info: ValidationInfo) -> float | None:
        torque = info.data.get("torque_nm")
        if most is not None and torque is not None and torque > most:
            raise ValueError(f"torque_nm {torque:g} is over the greatest torque allowed, {most:g}")
        return most

    @field_validator("passes")
    @classmethod
    def _rising_to_one(cls, passes: tuple[float, ...]) -> tuple[float, ...]:
        if passes and (passes[-1] != 1.0 or any(b <= a for a, b in pairwise(passes))):
            raise ValueError("passes must rise and end at 1.0, such as [0.5, 1.0]")
        return passes


class Joint(BuildRow):
    """A stack from top to bottom with its holes and fasteners."""

    id: Id
    title: Text
    holes: tuple[Hole, ...] = ()
    fasteners: Fasteners
    stack: Annotated[tuple[Layer, ...], Field(min_length=2)]

    def for_build(self, build: Build) -> Joint:
        """The joint with the layers and holes of one build."""
        holes = tuple(hole for hole in self.holes if hole.on(build))
        open_here = {hole.id for hole in holes}
        stack = tuple(_drilled(layer, open_here) for layer in self.stack if layer.on(build))
        return self.model_copy(update={"holes": holes, "stack": stack})

    def closed_layers(self, hole_id: str) -> tuple[int, ...]:
        """Places in the stack that close a hole on its way. An O-ring lies in its groove and closes none."""
        drilled = [n for n, layer in enumerate(self.stack) if hole_id in layer.holes]
        between = range(drilled[0], drilled[-1] + 1) if drilled else range(0)
        return tuple(n for n in between if n not in drilled and self.stack[n].kind != "o-ring")


def _drilled(layer: Layer, open_here: set[str]) -> Layer:
    return layer.model_copy(update={"holes": tuple(hole for hole in layer.holes if hole in open_here)})
