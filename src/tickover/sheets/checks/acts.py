"""Whether acts name what is there, and whether each card can be done in its order on every build that has it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tickover.science.planning.work_sequence.acts import Act
from tickover.science.planning.work_sequence.card_states import card_faults
from tickover.sheets.card_steps import act_of, acts_by_id, card_ends, openings, steps_by_acts
from tickover.sheets.errors import no_such
from tickover.sheets.places import Loc
from tickover.sheets.schema.cards import Card
from tickover.sheets.schema.type_sheet import TypeSheet

Disagreement = tuple[Loc, str]


def act_disagreements(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Every act that names what is not there, and every step that its card cannot do where it stands."""
    if not sheet.acts:
        return
    yield from _names(sheet)
    yield from _runs(sheet)
    yield from _findings_named(sheet)
    yield from _orders(sheet)


def _names(sheet: TypeSheet) -> Iterator[Disagreement]:
    known = tuple(act.id for act in sheet.acts)
    proves = {act.id: act.proves for act in sheet.acts}
    there = tuple(openings(sheet))
    limits = tuple(limit.id for limit in sheet.limits)
    for n, act in enumerate(sheet.acts):
        for key in ("opens", "closes", "inside", "closed"):
            for m, name in enumerate(getattr(act, key)):
                if name not in there:
                    yield ("acts", n, key, m), no_such("access group or joint", name, there)
        for key in ("relies_on", "after", "covers"):
            for m, name in enumerate(getattr(act, key)):
                if name not in known:
                    yield ("acts", n, key, m), no_such("act", name, known)
        for m, name in enumerate(act.covers):
            if unproved := [p for p in proves.get(name, ()) if p not in act.proves]:
                sentence = (
                    f'"{name}" proves "{unproved[0]}", and this act does not; let it prove that as well'
                )
                yield ("acts", n, "covers", m), sentence
        for m, name in enumerate(act.figures):
            if name not in limits:
                yield ("acts", n, "figures", m), no_such("limit", name, limits)
        for m, wait in enumerate(act.waits):
            if wait.act not in known:
                yield ("acts", n, "waits", m, "act"), no_such("act", wait.act, known)
        if act.hands_free_min > act.minutes:
            yield (
                ("acts", n, "hands_free_min"),
                f"more than its {act.minutes:g} minutes; it is a part of them",
            )
    for n, card in enumerate(sheet.cards):
        for m, step in enumerate(card.steps):
            if step.does is not None and step.does not in known:
                yield ("cards", n, "steps", m, "does"), no_such("act", step.does, known)


def _runs(sheet: TypeSheet) -> Iterator[Disagreement]:
    acts = {act.id: act for act in sheet.acts}
    for n, card in enumerate(sheet.cards):
        for m, step in enumerate(card.steps):
            act = acts.get(step.act_id)
            if act is not None and (act.motion == "running") != step.runs_engine:
                says = "runs" if act.motion == "running" else "does not run"
                yield ("cards", n, "steps", m, "runs_engine"), f'the act "{act.id}" {says} the engine'


def _findings_named(sheet: TypeSheet) -> Iterator[Disagreement]:
    """A step on condition names a finding of a step before it."""
    for n, card in enumerate(sheet.cards):
        seen: list[str] = []
        for m, step in enumerate(card.steps):
            for k, name in enumerate(step.only_on):
                if name not in seen:
                    place: Loc = ("cards", n, "steps", m, "only_on", k)
                    yield place, no_such("finding of an earlier step", name, tuple(seen))
            seen += [f"{step.id}.{finding.id}" for finding in step.findings]


def _orders(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Each fault once, though several builds have it."""
    said: set[tuple[str, str, str]] = set()
    done = {step.act_id for card in sheet.cards for step in card.steps}
    made = {row.id: act_of(row) for row in sheet.acts if row.id in done}
    for build in sheet.builds:
        one = sheet.for_build(build.id)
        acts, there = acts_by_id(one, made), openings(one)
        for card in one.cards:
            for step_id, sentence in _faults(card, acts, there):
                if (card.id, step_id, sentence) not in said:
                    said.add((card.id, step_id, sentence))
                    yield _place(sheet, card.id, step_id), f'on the build "{build.id}": {sentence}'


def _faults(
    card: Card, acts: Mapping[str, Act], there: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[str, str]]:
    steps = steps_by_acts(card, acts)
    if steps is None or len({step.id for step in steps}) < len(steps):
        return
    for fault in card_faults(steps, there, card_ends(card)):
        clash = f' (see step "{fault.other}")' if fault.other else ""
        yield fault.step, fault.sentence + clash


def _place(sheet: TypeSheet, card_id: str, step_id: str) -> Loc:
    n = next(n for n, card in enumerate(sheet.cards) if card.id == card_id)
    m = next(m for m, step in enumerate(sheet.cards[n].steps) if step.id == step_id)
    return ("cards", n, "steps", m)
