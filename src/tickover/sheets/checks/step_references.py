"""Whether what a step names is there, on every build where the step is done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tickover.sheets.errors import no_such
from tickover.sheets.places import Loc
from tickover.sheets.schema.cards import Card, Step
from tickover.sheets.schema.rows import Build, BuildRow
from tickover.sheets.schema.type_sheet import TypeSheet

Disagreement = tuple[Loc, str]


def steps_of(sheet: TypeSheet) -> Iterator[tuple[Loc, Step]]:
    """Every step of every card with its place."""
    for n, card in enumerate(sheet.cards):
        yield from ((("cards", n, "steps", m), step) for m, step in enumerate(card.steps))


def where_missing(sheet: TypeSheet, row: BuildRow, needed: BuildRow, card: Card | None = None) -> list[Build]:
    """Builds where the row is used (on its card, if any) and what it needs is not there."""
    used = [build for build in sheet.builds if row.on(build) and (card is None or card.on(build))]
    return [build for build in used if not needed.on(build)]


def quoted(builds: Iterable[Build]) -> str:
    """Names of builds for a message."""
    return ", ".join(f'"{build.id}"' for build in builds)


def step_disagreements(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Every step that names a limit, a joint, a part or a task that is not there."""
    limits = {limit.id: limit for limit in sheet.limits}
    joints = {joint.id: joint for joint in sheet.joints}
    tasks = {task.id: task for task in sheet.programme}
    parts = tuple(part.id for part in sheet.parts)
    for place, step in steps_of(sheet):
        card = sheet.cards[int(place[1])]
        yield from _named(sheet, (*place, "reading"), ("limit", step.reading), step, card, limits)
        yield from _named(sheet, (*place, "joint"), ("joint", step.joint), step, card, joints)
        for n, finding in enumerate(step.findings):
            there: Loc = (*place, "findings", n, "task")
            yield from _named(sheet, there, ("task", finding.task), _both(step, finding), card, tasks)
        for key, names in (("fits", step.fits), ("discards", step.discards)):
            for n, name in enumerate(names):
                if name not in parts:
                    yield (*place, key, n), no_such("part", name, parts)
        yield from _held(sheet, place, step, card)


def _held(sheet: TypeSheet, place: Loc, step: Step, card: Card) -> Iterator[Disagreement]:
    """Steps that wait for a second check: on the same card, after it, and one at least on each of its builds."""
    order = {other.id: m for m, other in enumerate(card.steps)}
    for n, name in enumerate(step.hold_before):
        there: Loc = (*place, "hold_before", n)
        if name not in order:
            yield there, no_such("step of this card", name, tuple(order))
        elif order[name] <= int(place[3]):
            yield there, f'the step "{name}" does not come after this one, so it cannot wait for it'
    named = [card.steps[order[name]] for name in step.hold_before if name in order]
    done_on = [build for build in sheet.builds if card.on(build) and step.on(build)]
    nothing = [build for build in done_on if not any(other.on(build) for other in named)]
    if named and nothing:
        yield (*place, "hold_before"), f"holds no step for {quoted(nothing)}, where this step is done"


def _both(step: Step, finding: BuildRow) -> BuildRow:
    """Where a finding may be seen: on its own builds, or where it names none on those of its step."""
    return finding if finding.builds else step


def _named(
    sheet: TypeSheet,
    place: Loc,
    named: tuple[str, str | None],
    step: BuildRow,
    card: Card,
    rows: Mapping[str, BuildRow],
) -> Iterator[Disagreement]:
    noun, name = named
    if name is None:
        return
    if name not in rows:
        yield place, no_such(noun, name, tuple(rows))
    elif missing := where_missing(sheet, step, rows[name], card):
        yield place, f'the {noun} "{name}" does not hold for {quoted(missing)}, where this step is done'
