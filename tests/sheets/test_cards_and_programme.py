"""Whether cards, programme and minutes agree: worked out over all cards of all builds.

The rules are common practice, no source; the maker's manual comes first.
"""

from __future__ import annotations

import re

from tests.sheets.test_cards_are_safe import ON_EACH, SHEETS, cards
from tickover.sheets import Step, TypeSheet


@ON_EACH
def test_one_piece_at_full_throttle_serves_every_reading(one: TypeSheet) -> None:
    card = one.card("full-run-up")
    ids = [step.id for step in card.steps]
    piece = ids[ids.index("static-rpm") : ids.index("thrust") + 1]
    assert piece == ["static-rpm", "static-after-a-minute", "cht", "egt", "thrust"]
    assert "205 deg C a caution, 230 ends it" in card.steps[ids.index("static-rpm")].how
    no_tap = next(f for s in card.steps if s.id == "pump-pressure" for f in s.findings if f.id == "no-tap")
    assert no_tap.action == "continue"


@ON_EACH
def test_a_cable_is_tried_as_it_is_left(one: TypeSheet) -> None:
    ids = [step.id for step in one.card("throttle-and-stop").steps]
    assert ids.index("lubricate") < ids.index("slack-left") < ids.index("travel") < ids.index("return")


@ON_EACH
def test_a_task_asks_for_a_second_person_where_its_card_does(one: TypeSheet) -> None:
    for task in one.programme:
        if task.card:
            seen = any(step.second_check for step in one.card(task.card).steps)
            assert task.second_check or not seen, task.id


OPENS = {"plug-out": "plug-out", "propeller-off": "propeller-off", "exhaust-off": "exhaust-off",
         "carburettor-off": "carburettor-off", "flywheel-off": "flywheel-off"}  # fmt: skip


@ON_EACH
def test_a_task_lists_what_its_card_opens(one: TypeSheet) -> None:
    groups = {group.id: group for group in one.access}
    for task in one.programme:
        listed, more = set[str](), list(task.access)
        while more:
            listed.add(name := more.pop())
            more += groups[name].requires
        steps = {step.id for step in one.card(task.card).steps} if task.card else set()
        assert {access for step, access in OPENS.items() if step in steps} <= listed, task.id


WORDS = {"a": 1.0, "two": 2.0, "three": 3.0, "five": 5.0, "ten": 10.0, "twenty": 20.0}


def minutes(step: Step) -> float:
    """What a step asks for at least: the minutes it names, else one. [min]"""
    named = re.findall(
        r"\b(\d+|a|two|three|five|ten|twenty)(?: to \w+)?(?: more)? minutes?\b", f"{step.act} {step.how}"
    )
    return max(1.0, sum(WORDS.get(word) or float(word) for word in named))


@ON_EACH
def test_the_minutes_of_a_task_are_not_below_what_its_steps_ask_for(one: TypeSheet) -> None:
    groups = {group.id: group for group in one.access}
    for task in one.programme:
        if task.card:
            listed, more = set[str](), list(task.access)
            while more:
                listed.add(name := more.pop())
                more += groups[name].requires
            opened = sum(groups[name].minutes for name in listed)
            asked = sum(minutes(step) for step in one.card(task.card).steps)
            assert task.minutes + opened >= asked, (task.id, task.minutes, opened, asked)


@ON_EACH
def test_every_reading_says_whether_it_is_as_found_or_as_left(one: TypeSheet) -> None:
    assert not [(card.id, s.id) for card, _ in cards(one) for s in card.steps if s.reading and not s.moment]


@ON_EACH
def test_a_stud_bonded_to_rubber_has_the_makers_torque_or_none(one: TypeSheet) -> None:
    for name in ("silent-blocks-look", "silent-blocks-renewal"):
        read = [one.limit(s.reading) for s in one.card(name).steps if s.reading and s.joint == "engine-mount"]
        assert read and all(limit.makers_figure for limit in read), name
        assert one.joint("engine-mount").fasteners.torque_nm is None


@ON_EACH
def test_every_tool_of_a_card_is_used_at_a_step(one: TypeSheet) -> None:
    """A tool that only another build of the type uses may be listed."""
    whole = SHEETS[one.id]
    for card in whole.cards:
        used = {
            tool
            for sheet in SHEETS.values()
            for c in sheet.cards
            if c.id == card.id
            for s in c.steps
            for tool in s.tools
        }
        assert set(card.tools) <= used, (card.id, set(card.tools) - used)
