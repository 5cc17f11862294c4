"""Whether the rows of a fault table agree with each other and with the rest of the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tickover.sheets.errors import no_such
from tickover.sheets.places import Loc
from tickover.sheets.schema.faults import GRADES, Cause, FaultTable
from tickover.sheets.schema.type_sheet import TypeSheet

Disagreement = tuple[Loc, str]


def fault_disagreements(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Every place where the fault table contradicts itself, the programme or the access groups."""
    if (table := sheet.faults) is None:
        return
    yield from _builds(sheet, table)
    yield from _repeated(table)
    yield from _graded(table)
    yield from _nobody_causes(table)
    yield from _scale(table)
    yield from _elsewhere(sheet, table)


def _builds(sheet: TypeSheet, table: FaultTable) -> Iterator[Disagreement]:
    known = tuple(dict.fromkeys(name for build in sheet.builds for name in (build.id, *build.traits)))
    for rows in ("findings", "tests", "causes"):
        for n, row in enumerate(getattr(table, rows)):
            for m, name in enumerate(row.builds):
                if name not in known:
                    yield ("faults", rows, n, "builds", m), no_such("build or trait", name, known)


def _repeated(table: FaultTable) -> Iterator[Disagreement]:
    """Causes, findings and tests share one set of ids: the network and the titles go by them."""
    first: dict[str, str] = {}
    for rows in ("findings", "tests", "causes"):
        for n, row in enumerate(getattr(table, rows)):
            if row.id in first:
                yield (
                    ("faults", rows, n, "id"),
                    f'the id "{row.id}" is taken in {first[row.id]}; choose another',
                )
            first.setdefault(row.id, f"faults.{rows}, row {n + 1}")
    names = {cause.twins for cause in table.causes} & set(first)
    for n, cause in enumerate(table.causes):
        if cause.twins in names:
            yield (
                ("faults", "causes", n, "twins"),
                f'"{cause.twins}" is the id of a row; name the twins otherwise',
            )


def _graded(table: FaultTable) -> Iterator[Disagreement]:
    known = tuple(row.id for row in table.shown)
    for n, cause in enumerate(table.causes):
        seen: dict[str, str] = {}
        for grade in GRADES:
            for m, name in enumerate(cause.shows(grade)):
                place: Loc = ("faults", "causes", n, grade, m)
                if name not in known:
                    yield place, no_such("finding or test", name, known)
                if name in seen:
                    yield place, f'"{name}" has a grade here already, {seen[name]}; keep one of the two'
                seen[name] = grade
        if not seen:
            yield ("faults", "causes", n), "this cause shows in no finding; nothing could ever point to it"


def _nobody_causes(table: FaultTable) -> Iterator[Disagreement]:
    caused = {name for cause in table.causes for name in _all_shown(cause)}
    for rows in ("findings", "tests"):
        for n, row in enumerate(getattr(table, rows)):
            if row.id not in caused:
                yield ("faults", rows, n), f'no cause has a grade for "{row.id}"; grade it, or leave it out'


def _scale(table: FaultTable) -> Iterator[Disagreement]:
    values = [(grade, getattr(table.grades, grade)) for grade in GRADES]
    for (more, high), (less, low) in pairwise(values):
        if low > high:
            yield ("faults", "grades", less), f"{low:g} is above {more}, {high:g}; are they swapped?"
    background = table.false_findings.background
    if table.grades.rarely <= background:
        yield (
            ("faults", "grades", "rarely"),
            f"{table.grades.rarely:g} is not above false_findings.background, {background:g}, so it says nothing",
        )


def _elsewhere(sheet: TypeSheet, table: FaultTable) -> Iterator[Disagreement]:
    tasks, groups = tuple(t.id for t in sheet.programme), tuple(g.id for g in sheet.access)
    for n, cause in enumerate(table.causes):
        if cause.task is not None and cause.task not in tasks:
            yield ("faults", "causes", n, "task"), no_such("task", cause.task, tasks)
    for rows in ("findings", "tests"):
        for n, row in enumerate(getattr(table, rows)):
            for m, name in enumerate(row.access):
                if name not in groups:
                    yield ("faults", rows, n, "access", m), no_such("access group", name, groups)
    yield from _orders(table)


def _orders(table: FaultTable) -> Iterator[Disagreement]:
    """Tests that come after others: which there are, and never each after the other."""
    after = {test.id: test.after for test in table.tests}
    for n, test in enumerate(table.tests):
        for m, name in enumerate(test.after):
            if name not in after:
                yield ("faults", "tests", n, "after", m), no_such("test", name, tuple(after))
            elif after[name]:
                yield (
                    ("faults", "tests", n, "after", m),
                    f'"{name}" comes after others itself; name those that need nothing before them',
                )


def _all_shown(cause: Cause) -> Iterator[str]:
    for grade in GRADES:
        yield from cause.shows(grade)
