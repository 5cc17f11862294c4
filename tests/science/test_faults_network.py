"""A table of causes and findings as a network: what it refuses, and what it gives back."""

from dataclasses import replace

import numpy as np
import pytest

from tickover.science.faults import NOT_LISTED, Evidence, Grades, network, odds_of
from tickover.science.faults_posterior import posterior

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
