"""Whether the rows of a sheet agree with each other: ids, builds, limits, kits, stacks, tasks and cards."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from tickover.sheets.checks.acts import act_disagreements
from tickover.sheets.checks.fault_references import fault_disagreements
from tickover.sheets.checks.kits import kit_disagreements
from tickover.sheets.checks.step_references import quoted, step_disagreements, steps_of, where_missing
from tickover.sheets.errors import no_such
from tickover.sheets.places import Loc
from tickover.sheets.schema.joints import Joint, Layer
from tickover.sheets.schema.limits import COMPUTED_IN
from tickover.sheets.schema.rows import NO_BUILD, Build, BuildRow
from tickover.sheets.schema.tasks import AccessGroup
from tickover.sheets.schema.type_sheet import TypeSheet

Disagreement = tuple[Loc, str]


def disagreements(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Every place where two rows of the sheet contradict each other, with a sentence on it."""
    for check in _CHECKS:
        yield from check(sheet)


def _repeated_ids(sheet: TypeSheet) -> Iterator[Disagreement]:
    for table in ("builds", "limits", "parts", "kits", "joints", "access", "programme", "acts", "cards"):
        yield from _repeats((table,), (row.id for row in getattr(sheet, table)))
    for n, joint in enumerate(sheet.joints):
        yield from _repeats(("joints", n, "holes"), (hole.id for hole in joint.holes))
    for n, card in enumerate(sheet.cards):
        yield from _repeats(("cards", n, "steps"), (step.id for step in card.steps))
    for place, step in steps_of(sheet):
        yield from _repeats((*place, "findings"), (finding.id for finding in step.findings))


def _repeats(place: Loc, ids: Iterable[str]) -> Iterator[Disagreement]:
    first: dict[str, int] = {}
    for n, row_id in enumerate(ids):
        if first.setdefault(row_id, n) != n:
            yield (*place, n, "id"), f'the id "{row_id}" is taken by row {first[row_id] + 1}; choose another'


def _builds(sheet: TypeSheet) -> Iterator[Disagreement]:
    known = tuple(dict.fromkeys(name for b in sheet.builds for name in (b.id, *b.traits)))
    for n, build in enumerate(sheet.builds):
        if NO_BUILD in build.names:
            yield ("builds", n, "id"), f'a build cannot be called "{NO_BUILD}"; it means no build at all'
    for table, row in _build_rows(sheet):
        for n, name in enumerate(row.builds):
            if name not in known and not (name == NO_BUILD and table[0] == "kits"):
                yield (*table, "builds", n), no_such("build or trait", name, known)
    yield from _serials(sheet.builds)


def _serials(builds: tuple[Build, ...]) -> Iterator[Disagreement]:
    for n, build in enumerate(builds):
        first, last = build.serial_from, build.serial_to
        if first is not None and last is not None and last < first:
            yield ("builds", n, "serial_to"), f"{last} is below serial_from, {first}; are they swapped?"
        for other in builds[:n]:
            if _overlap(build, other):
                yield ("builds", n, "serial_from"), f'shares serial numbers with the build "{other.id}"'


def _overlap(one: Build, other: Build) -> bool:
    if any(b.serial_from is None and b.serial_to is None for b in (one, other)):
        return False
    highest = [float("inf") if b.serial_to is None else b.serial_to for b in (one, other)]
    return max(one.serial_from or 0, other.serial_from or 0) <= min(highest)


def _build_rows(sheet: TypeSheet) -> Iterator[tuple[Loc, BuildRow]]:
    tables: list[tuple[Loc, Iterable[BuildRow]]]
    tables = [(("limits",), sheet.limits), (("programme",), sheet.programme)]
    tables += [(("joints",), sheet.joints), (("acts",), sheet.acts), (("cards",), sheet.cards)]
    tables += [(("kits", n, "pieces"), kit.pieces) for n, kit in enumerate(sheet.kits)]
    tables += [(("joints", n, "holes"), joint.holes) for n, joint in enumerate(sheet.joints)]
    tables += [(("joints", n, "stack"), joint.stack) for n, joint in enumerate(sheet.joints)]
    tables += [(("cards", n, "steps"), card.steps) for n, card in enumerate(sheet.cards)]
    tables += [((*place, "findings"), step.findings) for place, step in steps_of(sheet)]
    for table, rows in tables:
        yield from (((*table, n), row) for n, row in enumerate(rows))


def _joints(sheet: TypeSheet) -> Iterator[Disagreement]:
    parts = tuple(part.id for part in sheet.parts)
    for n, joint in enumerate(sheet.joints):
        for m, layer in enumerate(joint.stack):
            yield from _layer(("joints", n, "stack", m), layer, joint, parts)
        yield from _closed_holes(sheet, n, joint)


def _layer(place: Loc, layer: Layer, joint: Joint, parts: tuple[str, ...]) -> Iterator[Disagreement]:
    holes = tuple(hole.id for hole in joint.holes)
    if layer.part is not None and layer.part not in parts:
        yield (*place, "part"), no_such("part", layer.part, parts)
    for n, hole in enumerate(layer.holes):
        if hole not in holes:
            yield (*place, "holes", n), no_such("hole", hole, holes)


def _closed_holes(sheet: TypeSheet, n: int, joint: Joint) -> Iterator[Disagreement]:
    """A gasket without the hole between two layers that have it stops the pulse and so the fuel pump."""
    for build in (build for build in sheet.builds if joint.on(build)):
        here = [layer for layer in joint.stack if layer.on(build)]
        for hole in (hole for hole in joint.holes if hole.on(build)):
            for m in joint.for_build(build).closed_layers(hole.id):
                place: Loc = ("joints", n, "stack", joint.stack.index(here[m]), "holes")
                yield place, f'this layer closes the hole "{hole.id}" on the build "{build.id}"'


def _tasks(sheet: TypeSheet) -> Iterator[Disagreement]:
    cards, groups = {card.id: card for card in sheet.cards}, tuple(group.id for group in sheet.access)
    for n, task in enumerate(sheet.programme):
        if task.card is not None and task.card not in cards:
            yield ("programme", n, "card"), no_such("card", task.card, tuple(cards))
        elif task.card is not None and (missing := where_missing(sheet, task, cards[task.card])):
            sentence = f'the card "{task.card}" does not hold for {quoted(missing)}, where this task is due'
            yield ("programme", n, "card"), sentence
        yield from _begun_again(sheet, n)
        yield from _contained(sheet, n)
        for m, name in enumerate(task.access):
            if name not in groups:
                yield ("programme", n, "access", m), no_such("access group", name, groups)


def _begun_again(sheet: TypeSheet, n: int) -> Iterator[Disagreement]:
    """A task that another begins again has a first time of its own to count."""
    tasks = {task.id: task for task in sheet.programme}
    for m, name in enumerate(sheet.programme[n].begins_again):
        place: Loc = ("programme", n, "begins_again", m)
        if name not in tasks:
            yield place, no_such("task", name, tuple(tasks))
        elif tasks[name].first_after_h is None:
            yield place, f'the task "{name}" has no first_after_h, which would count anew'


def _contained(sheet: TypeSheet, n: int) -> Iterator[Disagreement]:
    """What a task does as well is another task, and does not hold it in turn."""
    tasks = {task.id: task for task in sheet.programme}
    for m, name in enumerate(sheet.programme[n].contains):
        place: Loc = ("programme", n, "contains", m)
        if name not in tasks:
            yield place, no_such("task", name, tuple(tasks))
        elif name == sheet.programme[n].id or sheet.programme[n].id in tasks[name].contains:
            yield place, f'the tasks "{sheet.programme[n].id}" and "{name}" would contain each other'


def _computed(sheet: TypeSheet) -> Iterator[Disagreement]:
    """A sum needs its figures: a tension from a note needs the belt's span and mass."""
    for n, limit in enumerate(sheet.limits):
        units = COMPUTED_IN.get(limit.computed, (limit.unit,))
        if limit.unit not in units:
            yield ("limits", n, "unit"), f'"{limit.computed}" gives {" or ".join(units)}, not {limit.unit}'
        for m, condition in enumerate(limit.conditions):
            if condition.of not in limit.may_depend_on:
                yield (
                    ("limits", n, "conditions", m, "of"),
                    no_such("number", condition.of, limit.may_depend_on),
                )
        if limit.computed == "belt-tension":
            for key in ("belt_span_m", "belt_mass_kg_per_m"):
                if getattr(sheet.geometry, key) is None:
                    yield ("limits", n, "computed"), f'"belt-tension" needs {key} in the table geometry'


def _access(sheet: TypeSheet) -> Iterator[Disagreement]:
    groups = {group.id: group for group in sheet.access}
    for n, group in enumerate(sheet.access):
        for m, name in enumerate(group.requires):
            if name not in groups:
                yield ("access", n, "requires", m), no_such("access group", name, tuple(groups))
            elif _leads_back(group.id, groups[name], groups, frozenset()):
                yield ("access", n, "requires", m), f'"{group.id}" would have to be open before itself'


def _leads_back(
    target: str, group: AccessGroup, groups: dict[str, AccessGroup], passed: frozenset[str]
) -> bool:
    if group.id == target:
        return True
    further = [groups[name] for name in group.requires if name in groups and name not in passed]
    return any(_leads_back(target, one, groups, passed | {group.id}) for one in further)


_CHECKS: tuple[Callable[[TypeSheet], Iterator[Disagreement]], ...] = (
    _repeated_ids,
    _builds,
    step_disagreements,
    _joints,
    _tasks,
    _access,
    _computed,
    kit_disagreements,
    fault_disagreements,
    act_disagreements,
)
