"""Cards made one: the same act once, each opening once, evidence first, nothing runs before it is safe."""

from __future__ import annotations

import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.planning.work_sequence.acts import Act, StepOfCard
from tickover.science.planning.work_sequence.card_states import SAFE_TO_RUN
from tickover.science.planning.work_sequence.merging import Stage, VisitCard
from tickover.science.planning.work_sequence.sequence import WorkSequence, work_sequence

REQUIRES = {"carburettor-off": ("air-box-off",)}
ACTS = {
    act.id: act
    for act in (
        Act("make-safe", 2.0, action="secure", area="ignition", leaves={"stop": "grounded", "cap": "off"}),
        Act("stop-proved", 2.0, area="ignition", leaves={"stop": "free"}, proves=("stop-works",)),
        Act("cap-on", 0.5, area="ignition", needs={"cap": "off", "stop": "free"}, leaves={"cap": "on"}),
        Act("hand-back", 2.0, area="papers", action="write"),
        Act("readied", 8.0, area="run", proves=SAFE_TO_RUN[:4], leaves={"machine": "strapped"}),
        Act("run", 4.0, area="run", motion="running", spoils=("plug-as-found",)),
        Act(
            "after",
            2.0,
            area="run",
            leaves={"stop": "grounded", "cap": "off"},
            voids=("stop-works", "area-clear"),
        ),
        Act("plug-out", 2.0, area="ignition", opens=("plug-out",), needs={"cap": "off"}),
        Act("plug-in", 2.0, area="ignition", closes=("plug-out",)),
        Act("plug-look", 1.0, area="ignition", inside=("plug-out",), evidence=("plug-as-found",)),
        Act("turn", 1.0, area="propeller", motion="turned"),
        Act("box-off", 3.0, area="intake", opens=("air-box-off",)),
        Act("box-on", 3.0, area="intake", closes=("air-box-off",)),
        Act("filter", 4.0, area="intake", inside=("air-box-off",), spoils=("running-as-found",)),
        Act(
            "off", 7.0, area="intake", opens=("air-box-off", "carburettor-off"), spoils=("running-as-found",)
        ),
        Act("lever", 4.0, area="carburettor", inside=("carburettor-off",)),
        Act("on", 7.0, area="intake", closes=("carburettor-off", "air-box-off")),
        Act("blades", 3.0, area="propeller"),
        Act("hose-looked-at", 1.0, area="fuel"),
        Act("hose-squeezed", 2.0, area="fuel", covers=("hose-looked-at",)),
        Act("dust-read", 1.0, area="frame", evidence=("dust",)),
        Act("wiped", 1.0, area="propeller", spoils=("dust",)),
    )
}
LIVE = ("stop-proved", "cap-on", "hand-back")
RUN = ("readied", "stop-proved", "cap-on", "run", "after")


def card(name: str, *acts: str, as_found: bool = False) -> VisitCard:
    return VisitCard(name, tuple(StepOfCard(act, ACTS[act]) for act in acts), as_found)


def acts(one: WorkSequence) -> list[str]:
    return [step.act.id for step in one.steps]


def of(*cards: VisitCard) -> WorkSequence:
    return work_sequence(cards, REQUIRES)


BASELINE = card("baseline", "make-safe", *RUN, "hand-back", as_found=True)
BLADES = card("blades", "make-safe", "blades", *LIVE)
SERVICE = card("service", "make-safe", "off", "lever", "on", *RUN, "hand-back")
PLUG = card("plug", "make-safe", "plug-out", "plug-look", "plug-in", *LIVE)
TURNING = card("turning", "make-safe", "plug-out", "turn", "plug-in", *LIVE)
FILTER = card("filter", "make-safe", "box-off", "filter", "box-on", *LIVE)


def test_one_card_alone_stays_as_it_is() -> None:
    for one in (BASELINE, BLADES, SERVICE, PLUG, FILTER):
        assert acts(of(one)) == [step.act.id for step in one.steps]
        assert of(one).minutes_saved == 0.0


def test_the_same_act_is_done_once_and_serves_every_card() -> None:
    one = of(PLUG, TURNING)
    assert acts(one) == ["make-safe", "plug-out", "plug-look", "turn", "plug-in", *LIVE]
    served = [name for step in one.steps for name in step.serves]
    assert sorted(served) == sorted((c.id, s.id) for c in (PLUG, TURNING) for s in c.steps)
    assert (one.steps_alone, one.minutes_alone) == (14, 23.0)
    assert one.minutes == 12.5


def test_an_opening_two_acts_open_is_opened_by_the_first_and_closed_by_the_last() -> None:
    one = of(FILTER, SERVICE)
    by_act = {step.act.id: step.act for step in one.steps}
    opened = [name for step in one.steps for name in step.act.opens]
    closed = [name for step in one.steps for name in step.act.closes]
    assert sorted(opened) == sorted(closed) == ["air-box-off", "carburettor-off"]
    assert by_act["off"].opens == ("carburettor-off",)
    assert not one.apart


def test_it_runs_as_it_came_in_before_what_changes_that_and_again_to_prove_it() -> None:
    one = of(SERVICE, BASELINE, BLADES)
    order = acts(one)
    assert order.count("run") == order.count("readied") == 2
    assert order.index("blades") < order.index("run") < order.index("off")
    assert [step.stage for step in one.steps if step.act.id == "run"] == [Stage.FIRST_RUN, Stage.PROOF_RUN]
    assert order[-1] == "hand-back" and order.count("hand-back") == order.count("make-safe") == 1


def test_it_runs_once_where_nothing_would_change_how_it_came_in() -> None:
    assert acts(of(BASELINE, BLADES)).count("run") == 1
    assert acts(of(SERVICE, BLADES)).count("run") == 1


def test_what_a_run_would_spoil_is_looked_at_before_it() -> None:
    order = acts(of(BASELINE, SERVICE, PLUG))
    assert order.index("plug-look") < order.index("run")


def test_evidence_of_one_card_is_read_before_another_spoils_it() -> None:
    read, wipe = card("read", "make-safe", "dust-read", *LIVE), card("wipe", "make-safe", "wiped", *LIVE)
    for cards in ((read, wipe), (wipe, read)):
        order = acts(of(*cards))
        assert order.index("dust-read") < order.index("wiped")


def test_a_deeper_act_does_the_lesser_as_well() -> None:
    look = card("look", "make-safe", "hose-looked-at", *LIVE)
    squeeze = card("squeeze", "make-safe", "hose-squeezed", *LIVE)
    one = of(look, squeeze)
    assert "hose-looked-at" not in acts(one)
    deeper = next(step for step in one.steps if step.act.id == "hose-squeezed")
    assert deeper.serves == (("squeeze", "hose-squeezed"), ("look", "hose-looked-at"))


def test_cards_whose_orders_contradict_each_other_are_kept_apart() -> None:
    one = card("one", "make-safe", "box-off", "filter", "box-on", *LIVE)
    other = card("other", "make-safe", "filter", "box-off", "box-on", *LIVE)
    found = of(one, other)
    assert found.apart
    assert len(found.steps) > len(one.steps)


def test_places_are_changed_as_seldom_as_can_be() -> None:
    one = of(PLUG, BLADES, FILTER)
    assert one.changes_least <= one.changes


def test_no_cards_and_one_card_twice_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="none were given"):
        of()
    with pytest.raises(OutOfRangeError, match="comes twice"):
        of(PLUG, PLUG)


def later(first: VisitCard, done: int, *more: VisitCard) -> list[tuple[str, str]]:
    """Names of the steps of the card once more cards came, `done` of the first being done."""
    began = of(first)
    return [step.name for step in work_sequence((first, *more), REQUIRES, began.steps[:done]).steps]


def test_what_is_open_still_serves_a_card_that_comes_later() -> None:
    names = later(PLUG, 3, TURNING)
    assert names == [
        ("plug", "make-safe"),
        ("plug", "plug-out"),
        ("plug", "plug-look"),
        ("turning", "turn"),
        *(("plug", act) for act in ("plug-in", *LIVE)),
    ]


def test_what_was_closed_again_is_opened_again_for_a_card_that_comes_later() -> None:
    names = later(PLUG, 4, TURNING)
    assert names[4:8] == [
        ("turning", "plug-out"),
        ("turning", "turn"),
        ("turning", "plug-in"),
        ("plug", "stop-proved"),
    ]


def test_a_machine_made_live_again_is_made_safe_again() -> None:
    names = later(PLUG, 6, TURNING)
    assert names[6:] == [
        *(("turning", act) for act in ("make-safe", "plug-out", "turn", "plug-in", "stop-proved", "cap-on")),
        ("plug", "hand-back"),
    ]


def test_steps_that_are_done_keep_their_names_and_order() -> None:
    for done in range(len(SERVICE.steps)):
        began = of(SERVICE).steps[:done]
        again = work_sequence((SERVICE, PLUG, BLADES, FILTER), REQUIRES, began)
        assert [s.name for s in again.steps[:done]] == [s.name for s in began]
        served = [name for step in again.steps for name in step.serves]
        assert len(served) == len(set(served)) == again.steps_alone
