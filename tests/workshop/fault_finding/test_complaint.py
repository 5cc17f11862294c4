"""Complaints as owners say them, and the findings that a technician would tick for them.

The complaints are invented; which finding each means is common practice, no source.
"""

from __future__ import annotations

import pytest

from tickover.sheets import FaultFinding, FaultTable, shipped_sheets
from tickover.workshop.fault_finding.complaint import rows_meant


@pytest.fixture(scope="module")
def table() -> FaultTable:
    found = shipped_sheets()["velisk-185"].for_build("external-pulse").faults
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("complaint", "meant"),
    [
        ("It has no power any more, will not climb like it did and gets hot", ["static-rpm-low", "cht-high"]),
        (
            "Since the cold weekend the tickover runs up and down by itself, and when I let go of the throttle it "
            "hangs up for a good while before it comes down.",
            ["idle-slow-to-fall"],
        ),
        ("Surging idle, and bubbles", ["idle-races", "bubbles-in-line"]),
        ("stinks of petrol, and there is a drip under the carburettor", ["fuel-smell", "drips-at-rest"]),
        ("half a minute into the climb it just fades, as if somebody closed the tap", ["sags-at-full"]),
        ("It quit in the air and started again ten minutes later", ["cuts-out-restarts"]),
        ("I found white metal specks on the plug", ["plug-light-or-metal"]),
        ("There is a crack in the prop, near the tip", ["propeller-cracked"]),
        ("The rope comes out and nothing turns", ["starter-does-not-turn"]),
        ("pinging under load", ["pinks"]),
        ("New slow shake, the whole frame wobbles", ["shakes-at-propeller-rate"]),
        ("bogs when I open up", ["dies-on-opening"]),
        ("vibartes and wobbels slowly", ["shakes-at-propeller-rate"]),
        ("it ovreheats in the climb", ["cht-high"]),
        ("serched for the leak, petrol smel everywhere", ["fuel-smell"]),
        ("the switch is dead, it keeps running and will not stop", ["does-not-stop"]),
        ("throttel stuck, it stayed at full", ["throttle-stays-open"]),
        ("siezed solid, it is jammed", ["will-not-turn"]),
        ("revs as always but no thrust, long take-off run", ["thrust-low-speed-normal"]),
    ],
)
def test_what_an_owner_says_finds_what_a_technician_would_tick(
    table: FaultTable, complaint: str, meant: list[str]
) -> None:
    found = [finding.id for finding in rows_meant(table.findings, complaint)]
    assert set(meant) <= set(found[:4]), found


def test_each_phrase_of_the_sheet_finds_its_own_finding_first_or_second(table: FaultTable) -> None:
    lost = [
        (finding.id, phrase)
        for finding in table.findings
        for phrase in finding.words
        if finding.id not in [f.id for f in rows_meant(table.findings, phrase)[:2]]
    ]
    assert lost == []


@pytest.mark.parametrize("text", ["", "   ", "it is and was", "zzz", "…"])
def test_words_that_say_nothing_find_nothing(table: FaultTable, text: str) -> None:
    assert rows_meant(table.findings, text) == []


def test_a_few_are_proposed_and_not_half_the_list(table: FaultTable) -> None:
    everything = " ".join(word for finding in table.findings for word in finding.words)
    assert len(rows_meant(table.findings, everything)) <= 8


def test_tests_are_found_too(table: FaultTable) -> None:
    found = rows_meant([*table.findings, *table.tests], "vacuum test of the case")
    assert found and found[0].id == "case-vacuum" and not isinstance(found[0], FaultFinding)
