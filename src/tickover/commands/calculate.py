"""The calculations on the command line: list them, or work one out; needs no workshop."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence

from tickover.workshop.calculations.calculation import TAKE, Calculation
from tickover.workshop.calculations.catalogue import SUMS, by_room
from tickover.workshop.calculations.data import as_data
from tickover.workshop.calculations.typed_fields import UNIT
from tickover.workshop.calculations.working_out import WorkedOut, in_every_unit, work_out


def show_calculation(sum_id: str | None, given: Sequence[str], *, as_json: bool) -> int:
    """Print the list, or one answer. Returns 0, or 1 with a line on what was wrong."""
    if sum_id is None:
        return _list_all(as_json=as_json)
    if sum_id not in SUMS:
        return _refuse([f"There is no calculation called {sum_id}. `tickover calculate` lists them."])
    pairs = dict(part.partition("=")[::2] for part in given)
    if wrong := _not_asked(SUMS[sum_id], given):
        return _refuse([wrong])
    done = work_out(SUMS[sum_id], pairs)
    if as_json:
        print(json.dumps(as_data(done), ensure_ascii=False, indent=1))
        return int(bool(done.refused))
    return _refuse(list(done.refused.values())) if done.refused else _tell(done)


def _list_all(*, as_json: bool) -> int:
    if as_json:
        print(json.dumps({found.id: found.title for found in SUMS.values()}, ensure_ascii=False, indent=1))
        return 0
    for room, sums in by_room().items():
        print(room)
        for found in sums:
            print(f"  {found.id:<20} {found.title}")
    return 0


def _not_asked(asked: Calculation, given: Sequence[str]) -> str:
    """What cannot be understood of the arguments; "" when all can."""
    for part in given:
        name, equals, _ = part.partition("=")
        plain = name.removesuffix(TAKE).removesuffix(UNIT)
        if not equals or asked.field(plain) is None:
            names = ", ".join(field.name for field in asked.fields)
            return f"{asked.id}: {part!r} is not understood. Write name=value with one of: {names}."
    return ""


def _refuse(lines: Sequence[str]) -> int:
    print("\n".join(lines), file=sys.stderr)
    return 1


def _tell(done: WorkedOut) -> int:
    assert done.answer is not None
    for caution in done.cautions:
        print(f"CAUTION {caution}")
    print(*done.sentences, sep="\n")
    for result in done.answer.results:
        print(f"  {result.name}: {' or '.join(in_every_unit(result))}")
    for row in done.answer.table:
        print(f"  {': '.join(row)}")
    for working in done.answer.workings:
        print(f"by {working.formula} ({working.source or working.authority}; holds for: {working.validity})")
    return 0
