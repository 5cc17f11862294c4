"""Why a cause is suspected, and what would change the answer, in words."""

import numpy as np
import pytest

from tests.science.faults.test_faults_network import CAUSES, FINDINGS, grades
from tickover.science.faults import NOT_LISTED, Evidence, Network
from tickover.science.faults.explain import (
    effects,
    effects_on,
    leader_after,
    sensitivities,
    share_working,
    times_as_likely,
)
from tickover.science.faults.grades import network
from tickover.science.faults.posterior import Posterior, posterior

TITLES = {
    name: name.replace("-", " ").capitalize() for name in (*CAUSES, *FINDINGS, "crank-seals", NOT_LISTED)
}


def known(*seen: str, absent: tuple[str, ...] = ()) -> Posterior:
    return posterior(network(grades()), Evidence(frozenset(seen), frozenset(absent)))


def test_an_effect_is_the_share_with_over_the_share_without() -> None:
    with_it, without = known("idle-races", "egt-high"), known("egt-high")
    effect = next(e for e in effects(with_it, "intake-leak") if e.finding == "idle-races")
    assert effect.ratio == pytest.approx(with_it.share("intake-leak") / without.share("intake-leak"))


def test_effects_of_twins_are_those_of_either() -> None:
    effect = effects(known("case-loses"), "crank-seals")[0]
    assert effect.ratio > 2
    assert effect.in_words(TITLES) == "Case loses: makes Crank seals about twice as likely as before"


def test_an_absent_finding_says_so() -> None:
    told = effects(known("idle-races", absent=("case-loses",)), "intake-leak")
    effect = next(one for one in told if not one.seen)
    assert effect.ratio < 0.5
    assert effect.in_words(TITLES).startswith("Case loses (not there): makes Intake leak about a")


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (5.2, "about five times as likely as before"),
        (2.0, "about twice as likely as before"),
        (0.5, "about half as likely as before"),
        (0.11, "about 1/9 as likely as before"),
        (0.26, "about a quarter as likely as before"),
        (1.1, "about as likely as before"),
        (1.5, "somewhat more likely than before"),
        (0.7, "somewhat less likely than before"),
        (12.0, "about 12 times as likely as before"),
        (80.0, "more than fifty times as likely as before"),
        (0.0, "less than a fiftieth as likely as before"),
    ],
)
def test_a_ratio_in_words(ratio: float, words: str) -> None:
    assert times_as_likely(ratio) == words


def test_a_turn_is_what_the_answer_would_really_do() -> None:
    now = known("idle-races")
    leader = now.suspects()[0].name
    for turn in sensitivities(now, FINDINGS):
        then = known("idle-races", turn.finding) if turn.seen else known("idle-races", absent=(turn.finding,))
        assert then.suspects()[0].name == turn.leader != leader
        assert then.suspects()[0].share == pytest.approx(turn.share)
    absent = next(turn for turn in sensitivities(now, FINDINGS) if turn.finding == "case-loses")
    assert not absent.seen
    assert absent.in_words(TITLES).startswith("Case loses, if not there (")
    assert absent.in_words(TITLES).endswith(f"Needles too lean would lead, {absent.share * 100:.0f} %")


def test_what_is_known_cannot_turn_the_answer() -> None:
    assert all(turn.finding != "idle-races" for turn in sensitivities(known("idle-races"), FINDINGS))


def test_a_share_shows_its_working() -> None:
    now = known("idle-races", absent=("case-loses",))
    shown = share_working(now, "needles-too-lean", TITLES)
    assert shown.result.value == pytest.approx(now.share("needles-too-lean"))
    assert shown.inputs[0].name == "before any finding"
    assert {q.source for q in shown.inputs[1:]} == {"seen", "absent"}


def test_effects_on_several_suspects_are_those_on_each() -> None:
    now = known("idle-races", "egt-high", absent=("case-loses",))
    several = effects_on(now, ["intake-leak", "crank-seals"])
    assert several == {name: effects(now, name) for name in ("intake-leak", "crank-seals")}


def test_an_effect_is_found_where_nothing_else_explains_the_finding() -> None:
    """Without a leak, sets that cannot show a finding weigh nothing: taking it out brings them back."""
    link = np.array([[0.9, 0.0], [0.0, 0.9]])
    table = Network(("a", "b"), ("x", "y"), np.array([0.5, 1.5]), link, np.zeros(2), ("a", "b"), 1, 2)
    effect = effects(posterior(table, Evidence(frozenset({"x"}))), "a")[0]
    assert effect.ratio == pytest.approx(1 / posterior(table).share("a"))


def test_the_leader_after_an_answer_is_that_of_the_answer() -> None:
    now = known("idle-races")
    for seen in (True, False):
        then = known("idle-races", "case-loses") if seen else known("idle-races", absent=("case-loses",))
        name, share = leader_after(now, "case-loses", seen=seen)
        assert (name, share) == (then.suspects()[0].name, pytest.approx(then.suspects()[0].share))
    assert tuple(leader_after(known("idle-races"), "idle-races", seen=False)) == (
        known(absent=("idle-races",)).suspects()[0].name,
        pytest.approx(known(absent=("idle-races",)).suspects()[0].share),
    )


def test_the_working_shows_what_the_odds_were_multiplied_with() -> None:
    raised = network(grades()).with_odds({"drive-seal": 2.0, "plug-faulty": 3.0})
    shown = share_working(posterior(raised, Evidence(frozenset({"case-loses"}))), "crank-seals", TITLES)
    assert [q.name for q in shown.inputs[:3]] == [
        "by the table alone",
        "odds of Drive seal multiplied",
        "before any finding",
    ]
    assert shown.inputs[0].value == pytest.approx(posterior(network(grades())).share("crank-seals"))
