"""Visits made of the shipped cards: no step lost or twice, nothing run or turned before it is safe, time saved.

The rules are common practice, no source; an order is gone through by the same simulation that each card passes.
"""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from tickover.science.planning.work_sequence.card_states import SAFE_TO_RUN
from tickover.science.planning.work_sequence.merging import VisitCard
from tickover.science.planning.work_sequence.sequence import WorkSequence, work_sequence
from tickover.sheets import TypeSheet, card_ends, card_steps, openings, shipped_sheets

SHEETS = shipped_sheets()
BUILDS = [(sheet.id, build.id) for sheet in SHEETS.values() for build in sheet.builds]
FULL = (
    "running-baseline", "plug-look", "fuel-hoses-look", "throttle-and-stop", "frame-and-cage", "exhaust-look",
    "propeller-blades", "flange-check", "air-filter-service", "compression-check", "propeller-bolts",
    "harness-attachments", "silent-blocks-look", "fins-clean", "diaphragm-service",
)  # fmt: skip
"""An engine that comes in for everything that is due at ten, twenty-five and a hundred hours."""
LONG = 120.0
"""Tasks longer than this are an overhaul, and no part of a routine visit. [min]"""


def one_build(sheet: str, build: str) -> TypeSheet:
    return SHEETS[sheet].for_build(build)


def composed(one: TypeSheet, ids: tuple[str, ...]) -> WorkSequence:
    found = []
    for name in ids:
        card = one.card(name)
        steps = card_steps(card, one)
        assert steps is not None, name
        found.append(VisitCard(card.id, steps, card.as_found, card_ends(card)))
    return work_sequence(found, openings(one))


def routine(one: TypeSheet, rng: random.Random) -> tuple[str, ...]:
    """Cards of some tasks of the programme, none of which does another as well."""
    tasks = [t for t in one.programme if t.card and not t.on_condition and t.minutes <= LONG]
    chosen = rng.sample(tasks, rng.randint(2, 9))
    lesser = {name for task in chosen for name in one.contained(task.id)}
    return tuple(dict.fromkeys(t.card for t in chosen if t.card and t.id not in lesser))


@pytest.mark.parametrize(("sheet", "build"), BUILDS)
def test_a_full_visit_is_one_card(sheet: str, build: str) -> None:
    one = composed(one_build(sheet, build), FULL)
    order = [step.act.id for step in one.steps]
    assert one.apart == ()
    assert one.steps_alone - len(one.steps) > 50
    assert one.minutes_saved > 60.0
    for once in ("make-safe", "carburettor-off", "hoses-and-box", "hand-back"):
        assert order.count(once) == 1, once
    assert order.count("safe-to-run") == order.count("cap-on") == 2
    opened = [name for step in one.steps for name in step.act.opens]
    assert opened.count("air-box-off") == opened.count("carburettor-off") == 1
    assert opened.count("plug-out") == 2, (
        "cold for the plug's nose and the propeller, hand-warm for the compression"
    )


@pytest.mark.parametrize(("sheet", "build"), BUILDS)
def test_the_engine_runs_only_after_what_is_flown_with_it_was_looked_at(sheet: str, build: str) -> None:
    one = composed(one_build(sheet, build), FULL)
    order = [step.act.id for step in one.steps]
    first = next(n for n, step in enumerate(one.steps) if step.act.motion == "running")
    for before in ("propeller-paint-look", "locking", "throttle-return", "welds", "exhaust-cracks", "clips"):
        assert order.index(before) < first, before
    for after in ("carburettor-off", "filter-wash", "brush", "needle-low"):
        assert order.index(after) > first, "it shows how the engine ran as it came in"


@pytest.mark.parametrize(("sheet", "build"), BUILDS)
def test_no_step_of_any_visit_is_lost_or_done_twice(sheet: str, build: str) -> None:
    one, rng = one_build(sheet, build), random.Random(11)
    together = 0
    for _ in range(12):
        ids = routine(one, rng)
        visit = composed(one, ids)
        served = [name for step in visit.steps for name in step.serves]
        wanted = [(name, step.id) for name in ids for step in one.card(name).steps]
        assert sorted(served) == sorted(wanted), ids
        assert visit.minutes <= visit.minutes_alone
        together += not visit.apart
    assert together >= 8, "most visits are one card"


@pytest.mark.parametrize(("sheet", "build"), BUILDS)
def test_nothing_runs_or_is_turned_in_any_visit_before_it_is_safe(sheet: str, build: str) -> None:
    """Said anew here, in few words, so that a fault of the simulation does not hide one of an order."""
    one, rng = one_build(sheet, build), random.Random(12)
    for _ in range(12):
        ids = routine(one, rng)
        proved: set[str] = set()
        is_open: set[str] = set()
        for step in composed(one, ids).steps:
            act = step.act
            if act.motion in ("turned", "cranked"):
                assert "plug-out" in is_open | set(act.opens), (ids, step.name)
            if act.motion == "running":
                assert not is_open and proved >= set(SAFE_TO_RUN), (ids, step.name)
            is_open = (is_open - set(act.closes)) | set(act.opens)
            proved = (proved - set(act.voids) - ({SAFE_TO_RUN[0]} if act.opens else set())) | set(act.proves)
        assert not is_open, ids


def test_the_order_of_a_card_is_kept_in_each_place_of_the_engine() -> None:
    one, rng = one_build("velisk-185", "external-pulse"), random.Random(13)
    for _ in range(12):
        visit = composed(one, routine(one, rng))
        place = {name: n for n, step in enumerate(visit.steps) for name in step.serves}
        areas = {name: step.act.area for step in visit.steps for name in step.serves}
        for card in {name for name, _ in place}:
            for area in set(areas.values()):
                steps = [s.id for s in one.card(card).steps if areas[card, s.id] == area]
                own = [place[card, name] for name in steps if area not in ("papers", "run", "ignition")]
                assert all(a <= b for a, b in pairwise(own)), (card, area)


def test_the_same_visit_is_the_same_card_every_time() -> None:
    one = one_build("velisk-230", "four-mounts")
    assert composed(one, FULL) == composed(one, FULL)
