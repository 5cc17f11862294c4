"""What to look at next: danger first, then what tells most for its minutes, until repairing is cheaper."""

from typing import NamedTuple

import numpy as np
import pytest

from tests.science.faults.test_faults_network import FINDINGS, grades
from tickover.science.faults import Evidence
from tickover.science.faults.grades import network
from tickover.science.faults.next import Check, Choices, SessionContext, advise, next_checks
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.repair import expected_minutes, repair_order


class Group(NamedTuple):
    id: str
    title: str
    minutes: float
    requires: tuple[str, ...] = ()


OPENINGS = (
    Group("filter-box-off", "Filter box off", 6),
    Group("carburettor-off", "Carburettor off", 18, ("filter-box-off",)),
)
LOOKS = (
    Check("idle-races", 1),
    Check("egt-high", 1, danger="Stop."),
    Check("misfires", 5, running=True),
    Check("case-loses", 10, ("carburettor-off",), destroys_evidence=True),
)
FIX_MIN = np.array([60.0, 25, 10, 120, 120, 240])


def known(*seen: str, absent: tuple[str, ...] = ()) -> Posterior:
    return posterior(network(grades()), Evidence(frozenset(seen), frozenset(absent)))


def choices(looks: tuple[Check, ...] = LOOKS) -> Choices:
    return Choices(looks, FIX_MIN, OPENINGS)


def test_an_opening_costs_its_minutes_once_and_with_what_it_requires() -> None:
    shut = {look.look.id: look for look in next_checks(known("idle-races"), choices())}
    assert shut["case-loses"].minutes == 10 + 18 + 6 + 1
    assert shut["case-loses"].opens == ("filter-box-off", "carburettor-off")
    open_now = SessionContext(open_now=frozenset({"filter-box-off", "carburettor-off"}))
    is_open = {look.look.id: look for look in next_checks(known("idle-races"), choices(), open_now)}
    assert is_open["case-loses"].minutes == 10 + 1


def test_evidence_is_photographed_before_it_goes() -> None:
    before = {look.look.id: look.photo_first for look in next_checks(known("idle-races"), choices())}
    assert before == {"egt-high": False, "misfires": False, "case-loses": True}
    done = SessionContext(photographed=frozenset({"case-loses"}))
    assert not any(look.photo_first for look in next_checks(known("idle-races"), choices(), done))


def test_a_likely_danger_is_looked_for_first() -> None:
    looks = next_checks(known("idle-races"), choices())
    assert looks[0].look.id == "egt-high"
    assert looks[0].chance > 0.15
    calm = tuple(Check(look.id, look.minutes) for look in LOOKS)
    best = max(next_checks(known("idle-races"), choices(calm)), key=lambda look: look.bits_per_minute)
    assert next_checks(known("idle-races"), choices(calm))[0] == best


def test_a_look_comes_after_those_whose_evidence_it_takes_away() -> None:
    """The case is opened for its test, and what the running engine shows is gone with it."""
    quick = (Check("misfires", 50, running=True), Check("case-loses", 1, after=("misfires",)))
    assert [one.look.id for one in next_checks(known("idle-races"), choices(quick))] == [
        *("misfires", "case-loses"),
    ]
    free = (quick[0], Check("case-loses", 1))
    assert next_checks(known("idle-races"), choices(free))[0].look.id == "case-loses"
    cannot = SessionContext(not_possible=frozenset({"misfires"}))
    assert [one.look.id for one in next_checks(known("idle-races"), choices(quick), cannot)] == ["case-loses"]


def test_looks_that_wait_for_each_other_are_all_there() -> None:
    round_and_round = (
        Check("misfires", 5, after=("case-loses",)),
        Check("case-loses", 1, after=("misfires",)),
    )
    found = next_checks(known("idle-races"), choices(round_and_round))
    assert {one.look.id for one in found} == {"misfires", "case-loses"}


def test_while_a_danger_is_likely_the_still_engine_is_looked_at_first() -> None:
    dear = Check("case-loses", 1000)
    risky = (Check("egt-high", 1, danger="Stop."), Check("misfires", 1, running=True), dear)
    order = [one.look.id for one in next_checks(known("idle-races"), choices(risky))]
    assert order == ["egt-high", "case-loses", "misfires"]
    calm = (Check("egt-high", 1), Check("misfires", 1, running=True), dear)
    assert [one.look.id for one in next_checks(known("idle-races"), choices(calm))][-1] == "case-loses"


def test_dangers_are_named_before_the_engine_runs() -> None:
    looks = {look.look.id: look for look in next_checks(known("idle-races"), choices())}
    assert looks["misfires"].before == ("egt-high",)
    assert looks["case-loses"].before == ()


def test_a_danger_seen_stops_everything() -> None:
    advice = advise(known("egt-high"), choices())
    assert advice.step == "stop"
    assert advice.stops == {"egt-high": "Stop."}


def test_after_a_stop_nothing_is_proposed_that_the_engine_would_run_for() -> None:
    advice = advise(known("egt-high"), choices())
    assert {look.look.id for look in advice.looks} == {"idle-races", "case-loses"}
    running = {look.look.id for look in next_checks(known("idle-races"), choices())}
    assert "misfires" in running


def test_what_was_looked_at_or_cannot_be_done_is_not_offered() -> None:
    bench = SessionContext(not_possible=frozenset({"case-loses"}))
    looks = next_checks(known("idle-races", absent=("misfires",)), choices(), bench)
    assert [look.look.id for look in looks] == ["egt-high"]


def test_a_cheap_repair_of_the_leader_goes_before_a_dear_look() -> None:
    dear = (Check("case-loses", 200),)
    advice = advise(known("misfires"), choices(dear))
    assert advice.step == "repair"
    assert advice.repairs.order[0] == 2
    assert advice.saves_min < 0
    cheap = advise(known("case-loses"), choices((Check("idle-races", 0.2), Check("misfires", 0.2))))
    assert cheap.step == "look"
    hardly = advise(known("case-loses"), choices((Check("idle-races", 1), Check("misfires", 1))))
    assert 0 < hardly.saves_min < 1
    assert hardly.step == "repair"
    assert cheap.saves_min > 0


def test_nothing_left_to_look_at_means_repair() -> None:
    advice = advise(known(*FINDINGS), choices(tuple(Check(f, 1) for f in FINDINGS)))
    assert advice.looks == ()
    assert advice.step == "repair"


def test_the_minutes_after_a_look_are_those_of_its_two_answers() -> None:
    now = known("idle-races")
    look = next(one for one in next_checks(now, choices()) if one.look.id == "misfires")
    after = [known("idle-races", "misfires"), known("idle-races", absent=("misfires",))]
    minutes = [repair_order(one.shares, FIX_MIN).expected_min for one in after]
    expected = 5 + look.chance * minutes[0] + (1 - look.chance) * minutes[1]
    assert look.expected_min == pytest.approx(expected)


def test_looking_is_never_worse_than_not_looking_when_it_is_free() -> None:
    now = known("idle-races")
    at_once = repair_order(now.shares, FIX_MIN).expected_min
    for look in next_checks(now, choices()):
        assert look.expected_min - look.minutes <= at_once + 1e-9


def test_a_repair_order_shows_its_working() -> None:
    order = repair_order(np.array([0.4, 0.3, 0.2, 0.1]), np.array([20.0, 6, 10, 2]))
    shown = order.working(("Ring", "Plug", "Vent", "Cap"))
    assert shown.result.value == pytest.approx(21.4)
    assert [q.name for q in shown.inputs][:2] in (["Plug", "Cap"], ["Cap", "Plug"])
    assert expected_minutes(np.zeros((4, 1)), np.ones(4))[0] == 4.0


@pytest.mark.parametrize(
    ("shares", "minutes", "complaint"),
    [
        ([0.5, 0.5], [1.0, 0.0], "minutes of a repair must be above 0, not 0"),
        ([0.0, 0.0], [1.0, 1.0], "one of them above 0"),
        ([-0.1, 1.0], [1.0, 1.0], "must be 0 or more"),
    ],
)
def test_repairs_that_make_no_sense_are_refused(
    shares: list[float], minutes: list[float], complaint: str
) -> None:
    with pytest.raises(ValueError, match=complaint):
        repair_order(np.array(shares), np.array(minutes))


def test_a_look_without_minutes_is_refused() -> None:
    with pytest.raises(ValueError, match="misfires: minutes of a look must be above 0"):
        next_checks(known("idle-races"), choices((Check("misfires", 0),)))
