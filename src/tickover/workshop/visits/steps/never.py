"""What is never passed at a step, and which numbers of a reading went beyond it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tickover.formats.text import units
from tickover.sheets import Joint, LimitRow, Step
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.computed.pressure import END, START
from tickover.workshop.readings.input_fields import read_numbers
from tickover.workshop.readings.measuring import computation_of


@dataclass(frozen=True)
class Never:
    """The values that going beyond cannot be undone, in the unit of the limit; None for none."""

    below: float | None = None
    above: float | None = None
    unit: str = ""

    def holds(self, value: float) -> bool:
        """Whether a value is not beyond; the values themselves are allowed."""
        read = units.settled(value, self.below, self.above)
        return (self.below is None or read >= self.below) and (self.above is None or read <= self.above)

    def surely_passed(self, value: float, expanded: float) -> bool:
        """Whether it is beyond by more than its expanded uncertainty."""
        return (self.above is not None and value - expanded > self.above) or (
            self.below is not None and value + expanded < self.below
        )

    @property
    def words(self) -> str:
        """As the trade says it: "never more than 10 N.m"."""
        said = []
        if self.below is not None:
            said.append(f"never less than {self.below:g} {self.unit}")
        if self.above is not None:
            said.append(f"never more than {self.above:g} {self.unit}")
        return ", ".join(said)


def never_at(step: Step, limit: LimitRow, joint: Joint | None) -> Never:
    """What is never passed at a step: by its limit, else by the most that its joint may be tightened to.

    The joint counts where it is tightened. A nut that is tried as found may begin to turn later than it was set.
    """
    above = limit.never_above
    if above is None and joint is not None and sets_torque(step, limit):
        most = joint.fasteners.torque_max_nm
        above = None if most is None else units.convert(most, "N.m", limit.unit)
    return Never(limit.never_below, above, limit.unit)


def beyond(
    site: MeasurementContext, never: Never, amounts: Mapping[str, float], value: float
) -> tuple[float, ...]:
    """The numbers of a reading that are beyond, in the order they were read.

    Each number of a repeated reading counts by itself, since it was there; the time it was read after does not. Of a
    pressure that is lost the pressures count, and of any other sum its result.
    """
    if site.limit.computed == "pressure-loss":
        read = tuple(amounts[name] for name in (START, END) if name in amounts)
    else:
        read = (value,) if computation_of(site) else read_numbers(site.limit, amounts)
    return tuple(x for x in read if not never.holds(x))


def sets_torque(step: Step, limit: LimitRow) -> bool:
    """Whether a step sets a torque; as found it is tried, which is a measurement."""
    return (
        limit.instrument_kind == "torque-wrench"
        and step.moment != "as found"
        and units.convertible(limit.unit, "N.m")
    )
