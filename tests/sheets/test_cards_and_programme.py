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


BACK = {
    "plug-out": {"plug-in", "plug-back"}, "old-plug": {"plug-torque"}, "shroud-off": {"shroud-on"},
    "block-out": {"block-screws"}, "metering-cover-off": {"metering-cover-on"}, "pump-cover-off": {"pump-cover-on"},
    "flywheel-off": {"flywheel-on"}, "covers-off": {"cover-on"}, "head-off": {"head-torque"},
    "cylinder-off": {"base-torque"}, "exhaust-off": {"springs-wired"}, "carburettor-off": {"flange-torque"},
    "pulse-hose-off": {"pulse-hose-on"}, "drive-cover-off": {"close"}, "motor-off": {"motor-on"}, "pipe-off": {"wire"},
    "silencer-off": {"silencer-on"}, "engine-off": {"torque"}, "box-off": {"box-on"},
    "needles-out": {"needle-high-left"},
    "lever-out": {"fit-lever"}, "locking-off": {"locking"}, "springs-off": {"springs-on"}, "seal": {"tag"},
    "cover-off": {"cover-on", "metering-cover-on"}, "propeller-off": {"propeller-on", "fit-wood", "fit-composite"},
    "drive-off": {"drive-on"}, "cable-off": {"cable-on"}, "hose-off": {"pulse-hose-on"}, "free": {"reconnect"},
    "bearings-out": {"bearings-in"}, "gauge-in": {"band-off"}, "empty": {"fill"}, "pull": {"new-in"}, "off": {"back"},
}  # fmt: skip
"""A step that takes something off or out, and those of which one at least puts it back, or says that it stays off."""
STAYS_OFF = {("after-strike", "propeller-off"), ("lay-up", "propeller-off"), ("crank-overhaul", "plug-out")}
ONLY_ON = {"tag", "fill", "new-in", "locking", "flange-torque", "head-torque", "base-torque"}
"""What is tightened, filled or tagged on some cards without having come off there."""
OTHERWISE_OFF = {
    ("after-strike", "close"), ("clutch-springs-and-shoes", "close"), ("plug-look", "plug-in"),
    ("plug-renewal", "plug-in"), ("return-to-service", "propeller-on"), ("seal-renewal", "flywheel-on"),
}  # fmt: skip
"""It came off at a step of another name, or on the card of the lay-up."""


@ON_EACH
def test_what_comes_off_goes_back_and_what_goes_on_had_come_off(one: TypeSheet) -> None:
    pairs = 0
    for card, ids in cards(one):
        for n, step in enumerate(ids):
            if step in BACK and (card.id, step) not in STAYS_OFF:
                assert BACK[step] & set(ids[n + 1 :]), (card.id, step)
                pairs += 1
            off = {name for name, backs in BACK.items() if step in backs}
            if off and step not in ONLY_ON and (card.id, step) not in OTHERWISE_OFF:
                assert off & set(ids[:n]), (card.id, step)
    assert pairs > 60


@ON_EACH
def test_every_card_is_made_safe_first_and_says_how_the_engine_is_left(one: TypeSheet) -> None:
    """The cap is on and the stop tried, or it is off, grounded and written down."""
    left = {"cap-on", "ground-again", "left-safe", "cap-on-at-the-end"}
    for card, ids in cards(one):
        assert "make-safe" in ids[:2], card.id
        assert left & set(ids) or card.id == "after-strike", card.id
        assert card.id == "plug-renewal" or ids[-1] in ("hand-back", "tell"), card.id
