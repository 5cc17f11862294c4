"""An order of steps that cannot be done, or hurts somebody, is refused by the rule it breaks.

The rules are common practice, no source; what is checked here is that each is kept on both of its sides.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.planning.work_sequence.acts import Act, StepOfCard, Wait
from tickover.science.planning.work_sequence.card_states import SAFE_TO_RUN, CardEnds, card_faults

REQUIRES = {"carburettor-off": ("air-box-off",)}
SAFE = Act("make-safe", 2.0, leaves={"stop": "grounded", "cap": "off"})
LIVE = Act("stop-proved", 2.0, leaves={"stop": "free"}, proves=("stop-works",))
CAP_ON = Act("cap-on", 0.5, needs={"cap": "off", "stop": "free"}, leaves={"cap": "on"})
OPEN = Act("box-off", 6.0, opens=("air-box-off",))
CLOSE = Act("box-on", 6.0, closes=("air-box-off",))
READIED = Act("readied", 8.0, proves=SAFE_TO_RUN, leaves={"machine": "strapped", "stop": "free"})
RUN = Act("run", 4.0, motion="running")


def rules(*acts: Act, ends: CardEnds | None = None) -> list[tuple[str, str]]:
    steps = [StepOfCard(act.id, act) for act in acts]
    return [(fault.step, fault.rule) for fault in card_faults(steps, REQUIRES, ends)]


def test_what_can_be_done_has_no_fault() -> None:
    look = Act("look", 1.0, inside=("air-box-off",), evidence=("dust",))
    clean = Act("clean", 2.0, inside=("air-box-off",), spoils=("dust",))
    assert rules(SAFE, OPEN, look, clean, CLOSE, LIVE, CAP_ON) == []
    assert rules(SAFE, READIED, CAP_ON, RUN) == []


def test_openings_are_opened_in_order_and_closed_again() -> None:
    deep, shut = Act("off", opens=("carburettor-off",)), Act("on", closes=("carburettor-off",))
    assert rules(OPEN, deep, shut, CLOSE) == []
    assert rules(deep, shut) == [("off", "open")]
    assert rules(OPEN, deep, CLOSE, shut) == [("box-on", "close")]
    assert rules(OPEN) == [("box-off", "end")]
    assert rules(CLOSE) == [("box-on", "close")]
    assert rules(OPEN, replace(OPEN, id="again"), CLOSE) == [("again", "open")]
    assert rules(OPEN, ends=CardEnds(left_open=("air-box-off",))) == []
    assert rules(CLOSE, ends=CardEnds(found_open=("air-box-off",))) == []
    assert rules(RUN, ends=CardEnds(left_open=("air-box-off",)))[-1] == ("run", "end")


def test_what_lies_behind_an_opening_is_done_while_it_is_open() -> None:
    look = Act("look", inside=("air-box-off",))
    assert rules(look, OPEN, CLOSE) == [("look", "inside")]
    assert rules(OPEN, CLOSE, look) == [("look", "inside")]


def test_pressure_is_held_by_what_is_closed() -> None:
    hold = Act("hold", closed=("air-box-off",))
    assert rules(OPEN, hold, CLOSE) == [("hold", "pressure")]
    assert rules(OPEN, CLOSE, hold) == []


@pytest.mark.parametrize("motion", ["turned", "cranked"])
def test_nothing_is_turned_with_the_plug_in_or_its_cap_on(motion: str) -> None:
    out, back = Act("plug-out", opens=("plug-out",)), Act("plug-in", closes=("plug-out",))
    turn = Act("turn", motion=motion)
    assert rules(SAFE, out, turn, back) == []
    assert rules(SAFE, out, back, turn) == [("turn", "plug")]
    assert ("turn", "cap") in rules(out, turn, back)


@pytest.mark.parametrize("left_out", SAFE_TO_RUN)
def test_nothing_runs_before_all_that_makes_it_safe_is_proved(left_out: str) -> None:
    some = replace(READIED, proves=tuple(name for name in SAFE_TO_RUN if name != left_out))
    assert rules(SAFE, some, CAP_ON, RUN) == [("run", "run")]


def test_what_is_opened_after_the_look_over_is_looked_over_again() -> None:
    steps = [SAFE, READIED, OPEN, CLOSE, CAP_ON, RUN]
    assert rules(*steps) == [("run", "run")]
    again = Act("again", proves=SAFE_TO_RUN[:1])
    assert rules(*steps[:4], again, CAP_ON, RUN) == []
    assert rules(SAFE, OPEN, READIED, CLOSE, CAP_ON, RUN) == [("run", "run")], "nobody saw how it was closed"


def test_nothing_runs_open_stuffed_loose_or_uncapped() -> None:
    stuff, out = Act("stuff", puts_in=("cloth",)), Act("out", takes_out=("cloth",))
    assert rules(SAFE, stuff, out, READIED, CAP_ON, RUN) == []
    assert ("run", "count") in rules(SAFE, stuff, READIED, CAP_ON, RUN, out)
    assert ("run", "run") in rules(SAFE, READIED, OPEN, replace(READIED, id="b"), CAP_ON, RUN, CLOSE)
    assert rules(SAFE, READIED, RUN, CAP_ON) == [("run", "run")]
    loose = replace(READIED, leaves={"stop": "free"})
    assert rules(SAFE, loose, CAP_ON, RUN) == [("run", "run")]


def test_things_put_in_are_taken_out_and_counted() -> None:
    stuff, out = Act("stuff", puts_in=("cloth",)), Act("out", takes_out=("cloth",))
    assert rules(stuff, out) == []
    assert rules(stuff) == [("stuff", "count")]
    assert rules(out) == [("out", "count")]
    assert rules(stuff, ends=CardEnds(left_in=("cloth",))) == []
    assert rules(out, ends=CardEnds(found_in=("cloth",))) == []


def test_evidence_comes_before_what_spoils_it() -> None:
    read, wipe = Act("read", evidence=("paint",)), Act("wipe", spoils=("paint",))
    assert rules(read, wipe) == []
    assert rules(wipe, read) == [("read", "evidence")]


def test_what_an_act_relies_on_is_there_and_before_it() -> None:
    wash, dry = Act("wash"), Act("dry", relies_on=("wash",))
    assert rules(wash, dry) == []
    assert rules(dry, wash) == [("dry", "relies on")]
    assert rules(dry) == [("dry", "relies on")]
    late = Act("late", after=("wash",))
    assert rules(late) == []
    assert rules(late, wash) == [("late", "after")]


def test_what_was_made_void_is_proved_again_before_a_run_and_before_the_end() -> None:
    off, tight = Act("off", voids=("joint-tight",)), Act("tight", proves=("joint-tight",))
    assert rules(off, tight) == []
    assert rules(tight, off) == [("off", "proof")]
    assert rules(SAFE, off, READIED, CAP_ON, RUN, tight) == [("run", "run")]
    assert rules(SAFE, off, tight, READIED, CAP_ON, RUN) == []


def test_what_only_a_run_proves_may_run_before_it_is_proved() -> None:
    off, idle = Act("off", voids=("idles",)), Act("idle", motion="running", proves=("idles",))
    assert rules(SAFE, off, READIED, CAP_ON, RUN, idle) == []
    assert rules(SAFE, off, READIED, CAP_ON, idle, RUN) == []
    assert rules(SAFE, off, READIED, CAP_ON, RUN) == [("run", "run"), ("off", "proof")]


def test_what_a_card_is_done_for_is_proved_at_its_end() -> None:
    look, off = Act("look", proves=("vent-open",)), Act("off", voids=("vent-open",))
    ends = CardEnds(proves=("vent-open",))
    assert rules(look, ends=ends) == []
    assert rules(SAFE, LIVE, CAP_ON, ends=ends) == [("cap-on", "proof")]
    assert ("off", "proof") in rules(look, off, ends=ends)


def test_an_act_that_takes_the_plug_out_itself_may_turn_the_engine() -> None:
    turn = Act("turn", opens=("plug-out",), motion="turned")
    assert rules(SAFE, turn, Act("plug-in", closes=("plug-out",))) == []


def test_nothing_runs_on_what_is_left_in_the_hose() -> None:
    shut = Act("shut", leaves={"fuel": "closed"})
    assert ("run", "run") in rules(SAFE, shut, READIED, CAP_ON, RUN)
    assert rules(SAFE, shut, Act("open", leaves={"fuel": "open"}), READIED, CAP_ON, RUN) == []


def test_states_are_asked_for() -> None:
    cold = Act("cold", needs={"temperature": "cold"})
    assert rules(cold) == []
    assert ("cold", "state") in rules(SAFE, READIED, CAP_ON, RUN, cold)
    cooled = Act("cooled", leaves={"temperature": "cold"})
    assert rules(SAFE, READIED, CAP_ON, RUN, cooled, cold) == []


@pytest.mark.parametrize(("minutes", "kept"), [(0.9, False), (1.0, True), (5.0, True), (5.1, False)])
def test_soaks_and_cures_are_kept_within_their_times(minutes: float, kept: bool) -> None:
    soak, other = Act("soak", 2.0), Act("other", minutes)
    lay = Act("lay", waits=(Wait("soak", 1.0, 5.0),))
    assert rules(soak, other, lay) == ([] if kept else [("lay", "wait")])


def test_a_second_check_is_held_before_what_closes_over_it() -> None:
    look = Act("look", inside=("air-box-off",))

    def held(*names: str, no_hold: bool = False) -> list[str]:
        steps = [
            StepOfCard("off", OPEN),
            StepOfCard("look", look, True, names, no_hold),
            StepOfCard("between", Act("between")),
            StepOfCard("on", CLOSE),
            StepOfCard("later", Act("later")),
        ]
        return [fault.rule for fault in card_faults(steps, REQUIRES)]

    assert held("on") == held("between") == held(no_hold=True) == []
    assert held() == held("later") == ["hold"]


def test_a_machine_is_left_ready_or_grounded() -> None:
    assert rules(SAFE) == []
    assert rules(SAFE, LIVE) == [("stop-proved", "end")]
    assert rules(SAFE, replace(CAP_ON, needs={})) == [("cap-on", "end")]
    closed = Act("closed", leaves={"fuel": "closed"})
    assert rules(closed) == [("closed", "end")]
    assert rules(closed, Act("opened", leaves={"fuel": "open"})) == []


def test_no_steps_and_two_of_one_name_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="none were given"):
        card_faults([], {})
    with pytest.raises(OutOfRangeError, match="comes twice"):
        card_faults([StepOfCard("one", SAFE), StepOfCard("one", LIVE)], {})


@pytest.mark.parametrize("minutes", [-1.0, float("nan"), float("inf"), 2e5])
def test_minutes_that_cannot_be_are_refused(minutes: float) -> None:
    with pytest.raises(OutOfRangeError, match="minutes"):
        Act("soak", minutes)
    with pytest.raises(OutOfRangeError):
        Wait("soak", minutes)


@pytest.mark.parametrize(
    ("minutes", "warm"), [(14.9, "hot"), (15.0, "hand-warm"), (59.9, "hand-warm"), (60.0, "cold")]
)
def test_a_head_cools_while_other_work_is_done(minutes: float, warm: str) -> None:
    asked = Act("asked", needs={"temperature": warm})
    after = Act("after", minutes)
    assert rules(SAFE, READIED, CAP_ON, RUN, after, asked) == []


def test_a_lesser_act_is_done_by_the_deeper_that_covers_it() -> None:
    deep, rest = Act("judged", covers=("seen",)), Act("rest", relies_on=("seen",))
    assert rules(deep, rest) == []
    assert rules(Act("judged"), rest) == [("rest", "relies on")]
