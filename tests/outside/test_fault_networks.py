"""Fault networks against published and computed values and another library's exact inference."""

import itertools
from dataclasses import replace

import numpy as np
import pyagrum as gum
import pytest

from benchmarks.faults import shop
from benchmarks.faults_exact import by_all_sets
from benchmarks.faults_exact import evidence as looks
from tickover.science.faults import Evidence, Network, noisy_or
from tickover.science.faults.explain import bits_about
from tickover.science.faults.grades import Grades, network
from tickover.science.faults.posterior import ContradictionError, Posterior, posterior
from tickover.science.faults.repair import repair_order


def one_cause(prior: float, without: tuple[float, ...], with_it: tuple[float, ...]) -> Network:
    """One cause, and findings by their chance without and with it: any such table is a noisy-OR."""
    leak, share = np.array(without), np.array(with_it)
    link = 1 - (1 - share) / (1 - leak)
    names = tuple(f"f{n}" for n in range(len(without)))
    return Network(("cause",), names, np.array([prior / (1 - prior)]), link[None, :], leak, ("cause",), 0, 1)


# The network "Asia" of S.L. Lauritzen, D.J. Spiegelhalter, "Local computations with probabilities on graphical
# structures", J. R. Statist. Soc. B 50 (1988) 157, with its published tables. Values by enumeration, equal to
# those of two libraries for exact inference. Its arrows between causes are drawn here as one cause for each
# combination of the five diseases and habits, one at a time; what is asked of them are findings.
HABITS = ("asia", "smoke", "tub", "lung", "bronc")


def asia() -> Network:
    names, odds, rows = [], [], []
    for states in itertools.product((False, True), repeat=5):
        travels, smokes, tub, lung, bronc = states
        chances = (0.01, 0.5, 0.05 if travels else 0.01, 0.1 if smokes else 0.01, 0.6 if smokes else 0.3)
        either = tub or lung
        breath = {(0, 0): 0.1, (0, 1): 0.8, (1, 0): 0.7, (1, 1): 0.9}[either, bronc]
        names.append("".join("01"[state] for state in states))
        odds.append(np.prod([p if state else 1 - p for p, state in zip(chances, states, strict=True)]))
        rows.append([*map(float, states), float(either), 0.98 if either else 0.05, breath])
    findings = (*HABITS, "either", "xray", "dysp")
    link = np.array(rows)
    return Network(tuple(names), findings, np.array(odds), link, np.zeros(8), tuple(names), 1, 1)


@pytest.mark.parametrize(
    ("known", "chances"),
    [
        ({}, "tub 0.0104 lung 0.055 bronc 0.45 either 0.064828 xray 0.11029 dysp 0.435971"),
        (
            {"asia": True, "dysp": True},
            "tub 0.087751 smoke 0.62592 lung 0.099525 bronc 0.811402 either 0.1823 xray 0.219539",
        ),
        (
            {"asia": True, "dysp": True, "xray": True},
            "tub 0.391712 smoke 0.702025 lung 0.444271 bronc 0.628822",
        ),
        ({"asia": True, "smoke": False}, "dysp 0.336775 xray 0.105335"),
        ({"xray": True, "dysp": True}, "tub 0.113933 smoke 0.78561 lung 0.621253 bronc 0.681869"),
        ({"dysp": True}, "bronc 0.833967 lung 0.102759 tub 0.018845"),
    ],
)
def test_asia(known: dict[str, bool], chances: str) -> None:
    now = posterior(asia(), known)
    words = chances.split()
    for name, value in zip(words[::2], words[1::2], strict=True):
        assert now.chance(name) == pytest.approx(float(value), abs=1e-6)


def test_asia_chance_of_a_traveller_who_is_short_of_breath() -> None:
    now = posterior(asia(), {"asia": True, "dysp": True})
    assert 10**now.log10_chance == pytest.approx(0.004501375, abs=1e-9)


def test_asia_information_about_lung_cancer() -> None:
    """The combinations that have it are one group of twins."""
    table = replace(asia(), twins=tuple("lung" if name[3] == "1" else name for name in asia().causes))
    for known, told in (
        ({}, {"xray": 0.184807, "dysp": 0.025382, "smoke": 0.032374, "bronc": 0.00254}),
        ({"dysp": True}, {"xray": 0.301746, "smoke": 0.034277, "bronc": 0.01989}),
    ):
        bits = bits_about(posterior(table, known), "lung")
        assert {name: bits[table.finding(name)] for name in told} == pytest.approx(told, abs=1e-6)


# P(finding | disease) both ways: sensitivity 0.9, specificity 0.95, prevalence 0.1 (Bayes' theorem, closed form).
def test_predictive_values_of_a_test() -> None:
    test = one_cause(0.1, (0.05,), (0.9,))
    assert posterior(test, Evidence(frozenset({"f0"}))).share("cause") == pytest.approx(2 / 3, abs=1e-9)
    absent = posterior(test, Evidence(absent=frozenset({"f0"})))
    assert 1 - absent.share("cause") == pytest.approx(0.988439306, abs=1e-9)


# D. Heckerman, "A tractable inference algorithm for diagnosing multiple diseases", UAI 5 (1989): the sum over
# subsets of the findings seen. Constructed case, its values by that sum and by enumeration.
def test_four_causes_three_findings_by_inclusion_and_exclusion() -> None:
    prior, leak = np.array([0.02, 0.05, 0.1, 0.01]), np.array([0.01, 0.02, 0.05])
    link = np.array([[0.8, 0, 0.3], [0.5, 0.6, 0], [0.1, 0.4, 0.7], [0.9, 0.9, 0.2]])
    table = Network(tuple("abcd"), ("f0", "f1", "f2"), prior / (1 - prior), link, leak, tuple("abcd"), 0, 4)
    now = posterior(table, Evidence(frozenset({"f0", "f2"}), frozenset({"f1"})))
    assert 10**now.log10_chance == pytest.approx(0.01105167, abs=1e-7)
    assert now.shares == pytest.approx([0.4810264, 0.0915578, 0.49412781, 0.02077931], abs=1e-7)
    assert now.beyond == 0.0


def drawn(seed: int, causes: int, findings: int, least: int, most: int) -> Network:
    rng = np.random.default_rng(seed)
    names = tuple(f"c{n}" for n in range(causes))
    prior = rng.uniform(0.02, 0.3, causes)
    link = rng.uniform(0, 0.95, (causes, findings)) * (rng.random((causes, findings)) < 0.6)
    leak = rng.uniform(0.01, 0.2, findings)
    shown = tuple(f"f{n}" for n in range(findings))
    return Network(names, shown, prior / (1 - prior), link, leak, names, least, most)


def in_agrum(table: Network) -> gum.BayesNet:
    """The same network, with a node that says whether any cause is present."""
    net = gum.BayesNet()
    for name, odds in zip(table.causes, table.odds, strict=True):
        net.add(gum.LabelizedVariable(name, name, 2))
        net.cpt(name).fillWith([1 / (1 + odds), odds / (1 + odds)])
    for column, name in enumerate(table.findings):
        net.addNoisyORCompound(gum.LabelizedVariable(name, name, 2), float(table.leak[column]))
        for row in np.flatnonzero(table.link[:, column]):
            alone = 1 - (1 - table.leak[column]) * (1 - table.link[row, column])
            net.addWeightedArc(table.causes[row], name, float(alone))
    net.addOR(gum.LabelizedVariable("any", "any", 2))
    for name in table.causes:
        net.addArc(name, "any")
    return net


def evidence(seed: int, table: Network) -> Evidence:
    state = np.random.default_rng(seed + 1000).integers(0, 3, len(table.findings))
    names = np.array(table.findings)
    return Evidence(frozenset(names[state == 1]), frozenset(names[state == 2]))


# pyAgrum, an open-source library of exact inference (LGPL), on networks drawn at random.
@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("least", [0, 1])
def test_shares_by_another_librarys_exact_inference(seed: int, least: int) -> None:
    table = drawn(seed, causes=7, findings=6, least=least, most=7)
    known = evidence(seed, table)
    net = in_agrum(table)
    inference = gum.LazyPropagation(net)
    states = dict.fromkeys(known.seen, 1) | dict.fromkeys(known.absent, 0)
    inference.setEvidence(states | ({"any": 1} if least else {}))
    inference.makeInference()
    now = posterior(table, known)
    assert now.shares == pytest.approx([inference.posterior(c)[1] for c in table.causes], abs=1e-9)
    for column, name in enumerate(table.findings):
        if name not in known.seen | known.absent:
            assert now.chances[column] == pytest.approx(inference.posterior(name)[1], abs=1e-9)
    if least == 0:
        assert 10**now.log10_chance == pytest.approx(inference.evidenceProbability(), rel=1e-9)


# The same with causes that are certain or impossible, links of 1 and no leak at all.
@pytest.mark.parametrize("seed", range(6))
def test_extremes_by_another_librarys_exact_inference(seed: int) -> None:
    rng = np.random.default_rng(seed)
    priors = dict(zip("abcde", [1.0, 0.0, *rng.uniform(0.05, 0.95, 3)], strict=True))
    links = {c: {f: float(rng.choice([0.0, 0.3, 0.8, 1.0])) for f in "wxyz"} for c in "abcde"}
    table = noisy_or(priors, links, {"w": 0.0, "x": 0.0, "y": 0.1})
    net = gum.BayesNet()
    for name, prior in priors.items():
        net.add(gum.LabelizedVariable(name, name, 2))
        net.cpt(name).fillWith([1 - prior, prior])
    for column, name in enumerate(table.findings):
        net.addNoisyORCompound(gum.LabelizedVariable(name, name, 2), float(table.leak[column]))
        for row in np.flatnonzero(table.link[:, column]):
            alone = 1 - (1 - table.leak[column]) * (1 - table.link[row, column])
            net.addWeightedArc(table.causes[row], name, float(alone))
    for states in itertools.product((None, False, True), repeat=4):
        known = dict(zip("wxyz", states, strict=True))
        inference = gum.LazyPropagation(net)
        inference.setEvidence({name: int(state) for name, state in known.items() if state is not None})
        try:
            chance = inference.evidenceProbability()
        except gum.IncompatibleEvidence:
            chance = 0.0
        if chance == 0.0:
            with pytest.raises(ContradictionError):
                posterior(table, known)
            continue
        now = posterior(table, known)
        assert 10**now.log10_chance == pytest.approx(chance, rel=1e-9)
        assert now.shares == pytest.approx([inference.posterior(c)[1] for c in table.causes], abs=1e-9)


# D. Heckerman's sum over subsets of the findings seen, which takes sets of causes of any size: against every set
# one by one here, and against the sets of up to three that the shipped table is weighed by.
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("least", [0, 1])
def test_all_sets_one_by_one_and_by_subsets_of_the_findings(seed: int, least: int) -> None:
    table = drawn(seed, causes=9, findings=8, least=least, most=9)
    known = evidence(seed, table)
    assert posterior(table, known).shares == pytest.approx(by_all_sets(table, known), abs=1e-12)


@pytest.mark.parametrize("looked", [3, 8, 20])
def test_the_shipped_table_against_sets_of_causes_of_any_size(looked: int) -> None:
    here = shop()
    for known in itertools.islice(looks(here, looked, seed=looked), 15):
        now, every = posterior(here.network, known), by_all_sets(here.network, known)
        assert np.abs(now.shares - every).max() <= now.beyond + 1e-9
        assert np.abs(now.shares - every).max() < 0.02
        assert now.shares.argmax() == every.argmax()


@pytest.mark.parametrize("seed", range(3))
def test_information_by_another_library(seed: int) -> None:
    table = drawn(seed, causes=3, findings=3, least=0, most=3)
    net = in_agrum(table)
    inference = gum.LazyPropagation(net)
    for column, name in enumerate(table.findings):
        told = gum.InformationTheory(inference, list(table.causes), [name])
        assert posterior(table).bits[column] == pytest.approx(told.mutualInformationXY(), abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("most", [1, 2, 3])
def test_the_bound_holds_whatever_larger_sets_hold(seed: int, most: int) -> None:
    table = drawn(seed, causes=9, findings=8, least=1, most=9)
    every = posterior(table, evidence(seed, table))
    size = (table.sets < 9).sum(axis=0)
    larger = float(every.weights[size > most].sum())
    few = posterior(replace(table, most=most), every.evidence)
    assert larger <= few.beyond + 1e-12
    assert few.beyond <= 2 * larger + 1e-9
    assert np.abs(few.shares - every.shares).max() <= few.beyond + 1e-12


def by_trying_every_order(share: list[float], minutes: list[float]) -> list[tuple[float, tuple[int, ...]]]:
    found = []
    for order in itertools.permutations(range(len(share))):
        spent, left = 0.0, 1.0
        for n in order:
            spent += minutes[n] * left
            left -= share[n]
        found.append((spent, order))
    return sorted(found)


# J.B. Kadane, H.A. Simon, Annals of Statistics 5 (1977) 237: chance over cost orders best. Constructed numbers,
# every order tried.
@pytest.mark.parametrize(
    ("share", "minutes", "expected"),
    [
        ([0.4, 0.3, 0.2, 0.1], [20.0, 6.0, 10.0, 2.0], 21.4),
        ([0.45, 0.25, 0.2, 0.1], [9.0, 2.0, 4.0, 5.0], 10.45),
    ],
)
def test_repairs_by_chance_over_minutes(share: list[float], minutes: list[float], expected: float) -> None:
    tried = by_trying_every_order(share, minutes)
    best = repair_order(np.array(share), np.array(minutes))
    assert best.expected_min == pytest.approx(expected, abs=1e-9)
    assert best.expected_min == pytest.approx(tried[0][0], abs=1e-9)


def test_repairs_without_a_tie_have_one_best_order() -> None:
    best = repair_order(np.array([0.45, 0.25, 0.2, 0.1]), np.array([9.0, 2.0, 4.0, 5.0]))
    assert best.order == (1, 0, 2, 3)
    assert by_trying_every_order([0.45, 0.25, 0.2, 0.1], [9, 2, 4, 5])[-1][0] == pytest.approx(15.4)


def test_one_cause_at_a_time_is_bayes_theorem() -> None:
    rng = np.random.default_rng(5)
    leak, weights = np.full(4, 0.02), rng.uniform(1, 9, 5)
    alone = np.maximum(rng.choice([0.02, 0.1, 0.3, 0.6, 0.9], (5, 4)), leak)
    alone[0] = 0.9
    grades = Grades(tuple("abcde"), tuple("wxyz"), weights, alone, leak, tuple("abcde"))
    some = network(grades, mean_causes=1.0001, not_listed=0.0, most=2)
    single = Network(some.causes, some.findings, some.odds, some.link, leak, some.twins, 1, 1)
    now: Posterior = posterior(single, Evidence(frozenset("w"), frozenset("z")))
    by_hand = weights * alone[:, 0] * (1 - alone[:, 3])
    assert now.shares == pytest.approx(by_hand / by_hand.sum(), abs=1e-12)
