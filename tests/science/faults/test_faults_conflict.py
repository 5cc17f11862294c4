"""A finding that nothing likely explains: it may be mistaken."""

import numpy as np
import pytest

from tickover.science.faults import Evidence, Network, noisy_or
from tickover.science.faults.conflict import LIKELY_STRAY, by_itself, conflict
from tickover.science.faults.posterior import posterior


def noise() -> Network:
    """A cracked exhaust makes it louder and nearly always shows when looked at; a leak makes the idle race."""
    return noisy_or(
        {"exhaust-cracked": 0.1, "intake-leak": 0.2},
        {"exhaust-cracked": {"louder": 0.8, "crack-seen": 0.9}, "intake-leak": {"idle-races": 0.9}},
        {"louder": 0.1, "crack-seen": 0.01, "idle-races": 0.02},
    )


def test_a_finding_whose_causes_are_ruled_out_by_looking_came_by_itself() -> None:
    told = conflict(posterior(noise(), {"louder": True, "crack-seen": False, "idle-races": True}))
    assert told is not None
    assert told.pair == ("louder", "crack-seen")
    assert told.chance > LIKELY_STRAY
    assert told.fit < 0.7


def test_findings_that_one_cause_explains_are_no_conflict() -> None:
    assert conflict(posterior(noise(), {"louder": True, "crack-seen": True})) is None


def test_one_finding_alone_contradicts_nothing() -> None:
    assert conflict(posterior(noise(), {"crack-seen": False})) is None
    assert conflict(posterior(noise(), {"idle-races": True})) is None


# One cause with prior p, link q and leak l: the finding, once seen, came by itself (not by the cause) with the
# chance l (1 - p q) / (1 - (1 - l) (1 - p q)): Bayes' theorem, closed form.
@pytest.mark.parametrize(("prior", "link", "leak"), [(0.1, 0.8, 0.1), (0.5, 0.3, 0.02), (0.9, 1.0, 0.4)])
def test_the_chance_to_have_come_by_itself(prior: float, link: float, leak: float) -> None:
    now = posterior(noisy_or({"c": prior}, {"c": {"f": link}}, leak), {"f": True})
    shown = 1 - (1 - leak) * (1 - prior * link)
    assert by_itself(now)["f"] == pytest.approx(leak * (1 - prior * link) / shown)


def test_what_shows_on_every_engine_or_on_none_by_itself_is_no_stray() -> None:
    table = noisy_or({"c": 0.3}, {"c": {"f": 0.5, "g": 0.5}}, {"f": 1.0, "g": 0.0})
    assert by_itself(posterior(table, {"f": True, "g": True})) == {"g": 0.0}


def test_chances_to_have_come_by_itself_are_honest() -> None:
    """Of the findings told with 60 % and more, so many did: in cases drawn from the table."""
    table, rng = noise(), np.random.default_rng(4)
    stated, true = [], []
    for _ in range(3000):
        causes = rng.random(2) < table.odds / (1 + table.odds)
        brought = rng.random(3) >= np.prod(1 - table.link[causes], axis=0)
        shows = brought | (rng.random(3) < table.leak)
        seen = frozenset(np.array(table.findings)[shows].tolist())
        for name, chance in by_itself(
            posterior(table, Evidence(seen, frozenset(table.findings) - seen))
        ).items():
            stated.append(chance)
            true.append(not brought[table.finding(name)])
    told = np.array(stated) >= LIKELY_STRAY
    assert told.sum() > 100
    assert np.array(true)[told].mean() == pytest.approx(np.array(stated)[told].mean(), abs=0.05)
