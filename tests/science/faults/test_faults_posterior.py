"""Suspects after what was seen, what was absent, and what nobody looked at."""

from dataclasses import replace

import numpy as np
import pytest

from tests.science.faults.test_faults_network import CAUSES, grades
from tickover.science.faults import Evidence, Network, noisy_or
from tickover.science.faults.grades import network
from tickover.science.faults.posterior import ContradictionError, posterior


@pytest.fixture(scope="module")
def table() -> Network:
    return network(grades())


def test_not_looked_is_not_absent(table: Network) -> None:
    not_looked = posterior(table, Evidence(frozenset({"idle-races"})))
    absent = posterior(table, Evidence(frozenset({"idle-races"}), frozenset({"case-loses"})))
    assert absent.share("intake-leak") < 0.5 * not_looked.share("intake-leak")
    assert absent.share("needles-too-lean") > not_looked.share("needles-too-lean")


def test_twins_stand_together_and_apart(table: Network) -> None:
    now = posterior(table, Evidence(frozenset({"case-loses"})))
    seals = next(suspect for suspect in now.suspects() if suspect.name == "crank-seals")
    assert seals.causes == ("drive-seal", "ignition-seal")
    assert seals.shares[0] == pytest.approx(seals.shares[1])
    assert max(seals.shares) < seals.share < sum(seals.shares)


def test_two_faults_at_once_are_found(table: Network) -> None:
    now = posterior(table, Evidence(frozenset({"case-loses", "idle-races", "misfires"}), frozenset()))
    assert now.several()[0].causes == ("intake-leak", "plug-faulty")
    assert now.several()[0].share > 0.1


def test_shares_of_a_cause_found_and_one_ruled_out(table: Network) -> None:
    now = posterior(table, Evidence(found=frozenset({"plug-faulty"}), ruled_out=frozenset({"intake-leak"})))
    assert now.share("plug-faulty") == pytest.approx(1.0)
    assert now.share("intake-leak") == 0.0
    assert now.share("needles-too-lean") == pytest.approx(
        table.odds[1] / (1 + table.odds[1]), rel=0.03
    )  # as on any engine: the fault that brought it in is found


def test_a_bound_with_a_cause_found(table: Network) -> None:
    every = replace(table, most=6)
    known = Evidence(frozenset({"idle-races"}), found=frozenset({"plug-faulty"}))
    sizes = (every.sets < len(table.causes)).sum(axis=0)
    larger = float(posterior(every, known).weights[sizes > 3].sum())
    assert larger <= posterior(table, known).beyond <= 2 * larger


def test_every_finding_known_is_answered_too(table: Network) -> None:
    now = posterior(
        table, Evidence(frozenset({"idle-races", "egt-high"}), frozenset({"misfires", "case-loses"}))
    )
    assert now.weights.sum() == pytest.approx(1.0)
    assert now.suspects()[0].name == "needles-too-lean"


def test_an_unknown_finding_and_an_unknown_cause_are_told(table: Network) -> None:
    with pytest.raises(ValueError, match='no finding called "idle-race"'):
        posterior(table, Evidence(frozenset({"idle-race"})))
    with pytest.raises(ValueError, match='no cause called "plug"'):
        posterior(table, Evidence(ruled_out=frozenset({"plug"})))


def certain() -> Network:
    """Two causes that exclude each other's findings, with nothing by chance."""
    link = np.array([[1.0, 0.0, 0.5], [0.0, 1.0, 0.5]])
    return Network(("a", "b"), ("x", "y", "z"), np.ones(2), link, np.zeros(3), ("a", "b"), 1, 1)


def test_findings_that_nothing_explains_together_are_named() -> None:
    with pytest.raises(ContradictionError, match="nothing on the list explains x and y together") as caught:
        posterior(certain(), Evidence(frozenset({"x", "y", "z"})))
    assert caught.value.pair == ("x", "y")


def test_all_causes_ruled_out_is_a_contradiction(table: Network) -> None:
    with pytest.raises(ContradictionError):
        posterior(table, Evidence(ruled_out=frozenset(table.causes)))
    assert set(CAUSES) < set(table.causes)


def test_evidence_of_a_tiny_chance_is_not_lost() -> None:
    """Four hundred findings seen, each by a cause or else by a chance in a thousand: 1e-1200 and less."""
    findings = [f"f{n}" for n in range(400)]
    links = {"a": dict.fromkeys(findings, 0.002), "b": dict.fromkeys(findings, 0.001)}
    table = noisy_or({"a": 0.5, "b": 0.5}, links, 0.001)
    now = posterior(table, dict.fromkeys(findings, True))
    assert now.weights.sum() == pytest.approx(1.0)
    log10_both = 400 * np.log10(1 - 0.999 * 0.998 * 0.999) + 2 * np.log10(0.5)
    log10_a = 400 * np.log10(1 - 0.999 * 0.998) + 2 * np.log10(0.5)
    assert now.share("b") == pytest.approx(1 / (1 + 10 ** (log10_a - log10_both)), rel=1e-6)
    assert now.log10_chance == pytest.approx(log10_both, abs=0.01)


def test_a_leak_of_a_trillionth_counts_in_full() -> None:
    table = noisy_or({"a": 0.5}, {"a": {"f": 1e-12}}, 1e-12)
    assert posterior(table, {"f": True}).share("a") == pytest.approx(2 / 3)


def test_a_finding_that_always_shows_cannot_be_absent() -> None:
    table = noisy_or({"a": 0.5}, {"a": {"f": 0.5}}, 1.0)
    assert posterior(table, {"f": True}).share("a") == pytest.approx(0.5)
    with pytest.raises(ContradictionError):
        posterior(table, {"f": False})


def test_more_causes_found_than_are_counted_is_told(table: Network) -> None:
    with pytest.raises(ValueError, match="4 causes are sure, and no more than 3 at a time are counted"):
        posterior(table, Evidence(found=frozenset(CAUSES[:4])))


def test_shares_together_with_a_finding_are_those_after_it(table: Network) -> None:
    now = posterior(table, Evidence(frozenset({"idle-races"})))
    then = posterior(table, Evidence(frozenset({"idle-races", "case-loses"})))
    column = table.finding("case-loses")
    assert now.shares_and_seen[:, column] / now.chances[column] == pytest.approx(then.shares)
    assert now.group_shares_and_seen[:, column] / now.chances[column] == pytest.approx(then.group_shares)
