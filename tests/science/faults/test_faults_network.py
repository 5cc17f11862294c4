"""A table of causes and findings as a network: what it refuses, and what it gives back."""

from dataclasses import replace

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.faults import NOT_LISTED, Evidence, noisy_or
from tickover.science.faults.grades import Grades, network, odds_of
from tickover.science.faults.posterior import posterior

CAUSES = ("intake-leak", "needles-too-lean", "plug-faulty", "drive-seal", "ignition-seal")
FINDINGS = ("idle-races", "egt-high", "misfires", "case-loses")


def grades() -> Grades:
    alone = np.array(
        [
            [0.9, 0.3, 0.02, 0.9],
            [0.3, 0.6, 0.02, 0.03],
            [0.02, 0.02, 0.6, 0.03],
            [0.6, 0.3, 0.02, 0.9],
            [0.6, 0.3, 0.02, 0.9],
        ]
    )
    return Grades(
        CAUSES,
        FINDINGS,
        np.array([5.0, 8.0, 9.0, 3.0, 3.0]),
        alone,
        np.array([0.02, 0.02, 0.02, 0.03]),
        ("intake-leak", "needles-too-lean", "plug-faulty", "crank-seals", "crank-seals"),
    )


def test_a_cause_alone_shows_as_the_table_says() -> None:
    table = network(grades())
    single = replace(table, most=1)
    assert pytest.approx(grades().alone) == single.shows[:, :5].T


def test_nothing_looked_at_leaves_the_weights() -> None:
    one_at_a_time = replace(network(grades(), not_listed=0.0), most=1)
    assert posterior(one_at_a_time).shares == pytest.approx(grades().weights / 28)


def test_the_mean_number_of_causes_is_as_asked() -> None:
    assert posterior(network(grades(), mean_causes=1.3)).shares.sum() == pytest.approx(1.3)


def test_a_share_is_kept_for_what_is_on_no_list() -> None:
    table = replace(network(grades(), not_listed=0.2), most=1)
    assert posterior(table).share(NOT_LISTED) == pytest.approx(0.2)
    assert NOT_LISTED not in network(grades(), not_listed=0.0).causes


def test_what_nothing_listed_explains_points_off_the_list() -> None:
    everything = Evidence(frozenset(FINDINGS))
    table = network(grades())
    assert posterior(table, everything).beyond < 0.05
    odd = Evidence(frozenset({"misfires"}), ruled_out=frozenset({"plug-faulty"}))
    assert posterior(table, odd).share(NOT_LISTED) > 3 * posterior(table).share(NOT_LISTED)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (
            {"alone": np.where(grades().alone == 0.6, 1.2, grades().alone)},
            "row needles-too-lean, column egt-high: a chance of 1.2 is not within 0 to 1",
        ),
        ({"leak": np.array([0.02, 1.0, 0.02, 0.03])}, "egt-high: the leak is not within 0 to below 1"),
        (
            {"weights": np.array([5, 8, 0, 3, np.nan])},
            "plug-faulty, ignition-seal: the weight is not above 0",
        ),
        ({"leak": np.array([0.95, 0.02, 0.02, 0.03])}, "idle-races: no cause brings it about"),
        ({"leak": np.array([0.02])}, "5 causes and 4 findings need a table of that shape"),
    ],
)
def test_a_table_that_makes_no_sense_is_refused(change: dict[str, object], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        replace(grades(), **change)


def test_numbers_of_causes_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="a mean of 3 causes is not above 1 and below 3"):
        network(grades(), mean_causes=3)
    with pytest.raises(ValueError, match="a share of 1 not on the list"):
        network(grades(), not_listed=1)


def test_odds_keep_the_proportion_of_the_weights() -> None:
    odds = odds_of(np.array([1.0, 2.0, 4.0]), 1.2, 2)
    assert odds / odds[0] == pytest.approx([1, 2, 4])


def test_seen_and_absent_at_once_is_told() -> None:
    with pytest.raises(ValueError, match="idle-races: cannot be there and not be there"):
        Evidence(frozenset({"idle-races"}), frozenset({"idle-races"}))


def test_touched_by_the_last_work_doubles_the_odds() -> None:
    table = network(grades())
    raised = table.with_odds({"intake-leak": 2.0})
    assert raised.odds / table.odds == pytest.approx([2, 1, 1, 1, 1, 1])
    assert posterior(raised).share("intake-leak") > 1.5 * posterior(table).share("intake-leak")
    assert raised.table is table.table  # what the odds do not touch is not made again


def test_odds_multiplied_twice_multiply() -> None:
    raised = (
        network(grades()).with_odds({"intake-leak": 2.0}).with_odds({"intake-leak": 1.5, "plug-faulty": 0.5})
    )
    assert raised.multipliers == {"intake-leak": 3.0, "plug-faulty": 0.5}
    assert raised.as_tabled().odds == pytest.approx(network(grades()).odds)
    assert raised.as_tabled().multipliers == {}


# With one cause, odds after = odds before x multiplier x likelihood ratio: Bayes' theorem in odds form.
def test_multiplied_odds_carry_through_to_the_answer() -> None:
    one = noisy_or({"c": 0.2}, {"c": {"f": 0.5}}, 0.1)
    share = posterior(one.with_odds({"c": 3.0}), {"f": True}).share("c")
    assert share / (1 - share) == pytest.approx(0.25 * 3 * (0.55 / 0.1))


@pytest.mark.parametrize("factor", [0.0, -1.0, 1000.0, float("nan"), float("inf")])
def test_multipliers_out_of_range_are_refused(factor: float) -> None:
    with pytest.raises(ValueError, match=r"intake-leak: odds are multiplied with 0\.01 to 100, not"):
        network(grades()).with_odds({"intake-leak": factor})


def test_a_multiplier_of_a_cause_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match='no cause called "intake"'):
        network(grades()).with_odds({"intake": 2.0})


def test_a_network_from_dictionaries() -> None:
    table = noisy_or(
        {"leak": 0.1, "plug": 0.2}, {"leak": {"races": 0.9}, "plug": {"misfires": 0.6}}, {"races": 0.05}
    )
    assert (table.causes, table.findings) == (("leak", "plug"), ("races", "misfires"))
    assert posterior(table).shares == pytest.approx([0.1, 0.2])
    assert posterior(table).chance("races") == pytest.approx(1 - 0.95 * (1 - 0.09))
    assert posterior(table).chance("misfires") == pytest.approx(0.12)


def test_a_network_from_dictionaries_takes_certain_and_impossible_causes() -> None:
    table = noisy_or({"sure": 1.0, "never": 0.0, "maybe": 0.5}, {"sure": {"f": 0.5}, "maybe": {"f": 0.5}})
    now = posterior(table, {"f": False})
    assert now.shares == pytest.approx([1.0, 0.0, 1 / 3])
    assert 10**now.log10_chance == pytest.approx(0.5 * 0.75)


@pytest.mark.parametrize(
    ("priors", "links", "leaks", "complaint"),
    [
        ({"a": 1.2}, {"a": {"f": 0.5}}, 0.0, "a: the prior is not within 0 to 1"),
        ({"a": 0.5}, {"a": {"f": 1.5}}, 0.0, "row a, column f: a chance of 1.5 is not within 0 to 1"),
        ({"a": 0.5}, {"a": {"f": 0.5}}, {"f": -0.1}, "f: the leak is not within 0 to 1"),
        ({"a": 0.5}, {"b": {"f": 0.5}}, 0.0, "b: has links, but no prior"),
    ],
)
def test_dictionaries_that_make_no_sense_are_refused(
    priors: dict[str, float],
    links: dict[str, dict[str, float]],
    leaks: dict[str, float] | float,
    complaint: str,
) -> None:
    with pytest.raises(ValueError, match=complaint):
        noisy_or(priors, links, leaks)


def test_many_causes_are_counted_as_far_as_they_can_be() -> None:
    wide = noisy_or({f"c{n}": 0.01 for n in range(100)}, {f"c{n}": {"f": 0.5} for n in range(100)}, 0.01)
    assert wide.most == 3
    assert noisy_or({f"c{n}": 0.1 for n in range(15)}, {}).most == 15


def test_a_name_used_twice_is_told() -> None:
    with pytest.raises(ValueError, match="idle-races: the same finding twice"):
        replace(grades(), findings=("idle-races", "idle-races", "misfires", "case-loses"))


def test_a_text_in_place_of_findings_is_told() -> None:
    with pytest.raises(OutOfRangeError, match='seen: a set of ids is wanted, not the text "idle-races"'):
        Evidence("idle-races")  # type: ignore[arg-type]


def test_three_states_of_a_finding() -> None:
    known = Evidence.of({"idle-races": True, "egt-high": False, "misfires": None})
    assert known == Evidence(frozenset({"idle-races"}), frozenset({"egt-high"}))
