"""Tasks of the programme, due by hours or calendar, and the openings they share."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from tickover.science.planning.due import SHORTEST_MONTH_DAYS
from tickover.sheets.schema.rows import Authority, BuildRow, Flag, Id, NotNegative, Positive, Row, Text, Whole


class Fitted(Row):
    """A component a task belongs to: its kind, and a word that its title holds (any, where empty)."""

    kind: Text
    title: str = ""

    def is_it(self, kind: str, title: str) -> bool:
        """Whether a component of that kind and title is meant."""
        return kind == self.kind and self.title.casefold() in title.casefold()


class TaskRow(BuildRow):
    """A task of the programme, due by hours or calendar, whichever comes first.

    `on_condition`: it has neither, and is done when something found asks for it. `begins_again`: tasks whose
    `first_after_h` counts anew once this one was done, such as bolts that are tried again after the first hour; one
    that is on condition falls due by that alone. `contains`: lesser tasks
    that this one does as well, so that they count as done with it. `fitted`: it is left out
    where the register knows of another component of that kind on the engine; where it knows of none, the
    task stands, since nothing tells against it.

    `interval_h`, `first_after_h`, `tolerance_h` [h]; `interval_months` [months]; `tolerance_days` [d];
    `minutes` [min] is the task alone, its access groups come on top and are shared. `anchor`: an overrun
    is taken off the next interval ("planned"), or each interval counts from the work itself ("actual").
    """

    id: Id
    title: Text
    system: Text
    kind: Literal["inspect", "measure", "test", "adjust", "service", "replace"]
    on_condition: Flag = False
    interval_h: Positive | None = None
    interval_months: Annotated[Whole, Field(ge=1)] | None = Field(default=None, validate_default=True)
    fitted: Fitted | None = None
    first_after_h: Positive | None = None
    begins_again: tuple[Id, ...] = ()
    contains: tuple[Id, ...] = ()
    tolerance_h: NotNegative = 0.0
    tolerance_days: Whole = 0
    anchor: Literal["planned", "actual"] = "planned"
    access: tuple[Id, ...] = ()
    minutes: NotNegative
    tools: tuple[Text, ...] = ()
    consumables: tuple[Text, ...] = ()
    second_check: Flag = False
    card: Id | None = None
    record: str = ""
    authority: Authority
    source: str = ""

    @field_validator("interval_months")
    @classmethod
    def _due_by_something(cls, months: int | None, info: ValidationInfo) -> int | None:
        neither = months is None and info.data.get("interval_h", 0.0) is None
        if neither and not info.data.get("on_condition", True):
            raise ValueError("a task needs interval_h or interval_months, or both, or on_condition = true")
        if not neither and info.data.get("on_condition"):
            raise ValueError("a task on condition has no interval_h and no interval_months")
        return months

    @field_validator("tolerance_h")
    @classmethod
    def _hours_over_below_the_interval(cls, tolerance: float, info: ValidationInfo) -> float:
        interval = info.data.get("interval_h")
        if interval is not None and tolerance >= interval:
            raise ValueError(f"{tolerance:g} h is not below the interval of {interval:g} h; allow less")
        return tolerance

    @field_validator("tolerance_days")
    @classmethod
    def _days_over_below_the_interval(cls, tolerance: int, info: ValidationInfo) -> int:
        months = info.data.get("interval_months")
        if months is not None and tolerance >= months * SHORTEST_MONTH_DAYS:
            raise ValueError(f"{tolerance} days are as long as the interval of {months} months; allow less")
        return tolerance


class AccessGroup(Row):
    """An opening that several tasks share. `minutes` [min] to open and close, `requires` opened before it."""

    id: Id
    title: Text
    minutes: NotNegative
    requires: tuple[Id, ...] = ()
