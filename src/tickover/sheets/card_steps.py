"""The steps of a card as the planner sees them: each with what its act opens, needs, spoils and proves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from threading import Lock

from cachetools import LRUCache, cached

from tickover.science.planning.work_sequence.acts import Act, StepOfCard, Wait
from tickover.science.planning.work_sequence.card_states import CardEnds
from tickover.sheets.schema.acts import ActRow
from tickover.sheets.schema.cards import Card, Step
from tickover.sheets.schema.type_sheet import TypeSheet


def card_steps(card: Card, sheet: TypeSheet) -> tuple[StepOfCard, ...] | None:
    """The steps of a card of one build; None where the sheet does not say of each what it does.

    A step that opens a joint opens it; the first that tightens it afterwards closes it.
    """
    return steps_by_acts(card, _acts_kept(sheet)[1])


@cached(LRUCache(16), key=id, lock=Lock())
def _acts_kept(sheet: TypeSheet) -> tuple[TypeSheet, dict[str, Act]]:
    """The sheet with its acts: while both are kept, no other sheet has its `id`."""
    return sheet, acts_by_id(sheet)


def acts_by_id(sheet: TypeSheet, made: Mapping[str, Act] | None = None) -> dict[str, Act]:
    """Every act of one build, for those who ask for the steps of many cards.

    `made`: those that are asked for, made from the whole sheet, for those who ask for many builds.
    """
    rows = {row.id: row for row in sheet.acts}
    if made is None:
        made = {name: act_of(row) for name, row in rows.items()}
    return {name: _named_here(act, rows) for name, act in made.items() if name in rows}


def steps_by_acts(card: Card, acts: Mapping[str, Act]) -> tuple[StepOfCard, ...] | None:
    """As `card_steps`, with the acts of that build already made."""
    if any(step.act_id not in acts for step in card.steps):
        return None
    open_joints = set(card.found_open)
    return tuple(_card_step(step, acts[step.act_id], open_joints) for step in card.steps)


def card_ends(card: Card) -> CardEnds:
    """What the card finds open, or stuffed, and leaves so."""
    return CardEnds(card.found_open, card.left_open, card.found_in, card.left_in, card.proves)


def openings(sheet: TypeSheet) -> dict[str, tuple[str, ...]]:
    """Every opening of a sheet, each with what has to be open before it: its access groups and its joints."""
    return {group.id: group.requires for group in sheet.access} | {joint.id: () for joint in sheet.joints}


def act_of(row: ActRow) -> Act:
    """The act of a row of the sheet."""
    return Act(
        id=row.id,
        minutes=row.minutes,
        hands_free_min=row.hands_free_min,
        object=row.object,
        action=row.action,
        place=row.place,
        area=row.area,
        opens=row.opens,
        closes=row.closes,
        inside=row.inside,
        closed=row.closed,
        motion=row.motion,
        needs=row.needs.asked(),
        leaves=row.leaves.asked(),
        evidence=row.evidence,
        spoils=row.spoils,
        proves=row.proves,
        voids=row.voids,
        relies_on=row.relies_on,
        after=row.after,
        covers=row.covers,
        puts_in=row.puts_in,
        takes_out=row.takes_out,
        waits=tuple(Wait(wait.act, wait.at_least_min, wait.within_min) for wait in row.waits),
    )


def _named_here(act: Act, rows: Mapping[str, ActRow]) -> Act:
    """The act without those it names that this build does not have."""
    named = (*act.relies_on, *act.after, *(wait.act for wait in act.waits))
    if all(name in rows for name in named):
        return act
    return replace(
        act,
        relies_on=tuple(name for name in act.relies_on if name in rows),
        after=tuple(name for name in act.after if name in rows),
        waits=tuple(wait for wait in act.waits if wait.act in rows),
    )


def _card_step(step: Step, act: Act, open_joints: set[str]) -> StepOfCard:
    joint = step.joint
    if joint and step.at_joint == "opens" and joint not in act.opens:
        act = replace(act, opens=(*act.opens, joint))
    if joint and step.at_joint == "tightens" and joint in open_joints and joint not in act.closes:
        act = replace(act, closes=(*act.closes, joint))
    open_joints |= set(act.opens)
    open_joints -= set(act.closes)
    if step.place:
        act = replace(act, place=step.place)
    reading = f"{step.reading} {step.moment} {step.place}".strip() if step.reading else ""
    return StepOfCard(step.id, act, step.second_check, step.hold_before, bool(step.no_hold), reading)
