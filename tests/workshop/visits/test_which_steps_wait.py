"""Which steps wait for which second check, rule by rule: both sides of each, on cards made up here."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from tickover.workshop.visits import hold_points
from tickover.workshop.visits.lock_open_job import VisitError


def line(number: int, card: str = "a", **keys: Any) -> Any:
    """A step that closes a joint and is not done; `check` asks for a second check."""
    rules = {
        "second_check": False,
        "no_hold": "",
        "hold_before": (),
        "gives_torque": True,
        "makes_safe": False,
    }
    rules |= {name: keys.pop(name) for name in tuple(keys) if name in rules}
    step = SimpleNamespace(id=f"s{number}", act=f"Act {number}.", **rules)
    state = {"done": False, "settled": False, "begun": False, "runs_engine": False, "stops": False}
    state |= {"not_needed": False, "keeps_runs": False}
    state |= {"workers": frozenset({1}), "cards": frozenset({card}), "serves": ()}
    return SimpleNamespace(number=number, card=SimpleNamespace(id=card), step=step, **(state | keys))


def checked(number: int, card: str = "a", **keys: Any) -> Any:
    """A step with a second check that is missing: done, unless said otherwise."""
    return line(number, card, second_check=True, **({"done": True, "begun": True} | keys))


def sheet(*steps: Any, **keys: Any) -> Any:
    facts = {"open": True, "course": SimpleNamespace(paused=False), "awaiting": steps}
    return SimpleNamespace(steps=steps, job=SimpleNamespace(number="2026-0001"), **(facts | keys))


def composed(number: int, *cards: str, **keys: Any) -> Any:
    """A step of a composed card, not done, that serves these cards."""
    serves = tuple((card, f"s{number}") for card in cards)
    return line(number, cards[0], cards=frozenset(cards), serves=serves, **keys)


@pytest.fixture(autouse=True)
def others(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Other open jobs of the engine; none."""
    found: list[Any] = []
    monkeypatch.setattr(hold_points.queries, "other_open_jobs", lambda job: found)
    return found


@pytest.fixture(autouse=True)
def shop(monkeypatch: pytest.MonkeyPatch) -> Any:
    """A workshop where nobody works alone, with one inspector."""
    facts = SimpleNamespace(works_alone=False, second_look_minutes=20, names=["Ingo"], ready=None)
    monkeypatch.setattr(hold_points.people, "the_workshop", lambda: facts)
    monkeypatch.setattr(hold_points.people, "who_may_confirm", lambda other_than: facts.names)
    monkeypatch.setattr(hold_points.second_checks, "second_look_from", lambda of: facts.ready)
    return facts


def numbers(lines: Any) -> list[int]:
    return [each.number for each in lines]


def waited_for(holds: Any) -> list[int]:
    return [hold.line.number for hold in holds]


def test_every_later_step_of_its_card_that_closes_a_joint_waits() -> None:
    holder = checked(2)
    job = sheet(line(1), holder, line(3, gives_torque=False), line(4), line(5, "b"))
    assert numbers(hold_points.named_by(job, holder)) == [4]


def test_where_the_sheet_names_steps_those_wait_and_no_others() -> None:
    holder = checked(2, hold_before=("s1", "s3"))
    job = sheet(line(1), holder, line(3, gives_torque=False), line(4))
    assert numbers(hold_points.named_by(job, holder)) == [3]


def test_a_step_without_a_second_check_or_that_nothing_covers_holds_nothing() -> None:
    for holder in (line(1, done=True), checked(1, no_hold="Nothing covers it.")):
        assert hold_points.named_by(sheet(holder, line(2)), holder) == ()


def test_a_later_step_waits_until_the_check_is_in() -> None:
    later = line(2)
    assert waited_for(hold_points.holds_on(sheet(checked(1), later), later)) == [1]
    assert waited_for(hold_points.holds_on(sheet(checked(1, done=False, begun=False), later), later)) == [1]
    assert hold_points.holds_on(sheet(checked(1, settled=True), later), later) == ()
    assert hold_points.holds_on(sheet(line(1, done=True), later), later) == ()
    loose = line(2, gives_torque=False)
    assert hold_points.holds_on(sheet(checked(1), loose), loose) == ()


def test_a_run_waits_for_what_is_before_it_on_its_card() -> None:
    run = line(2, runs_engine=True, gives_torque=False)
    job = sheet(checked(1, done=False, begun=False), run, checked(3))
    assert waited_for(hold_points.holds_on(job, run)) == [1]
    itself = checked(2, runs_engine=True, gives_torque=False)
    assert hold_points.holds_on(sheet(itself), itself) == ()


def test_a_run_waits_for_what_was_begun_on_another_card() -> None:
    run = line(2, runs_engine=True)
    begun, untouched = checked(5, "b", done=False), checked(6, "b", done=False, begun=False)
    settled, plain = checked(7, "b", settled=True), line(8, "b", done=True, begun=True)
    job = sheet(run, begun, untouched, settled, plain)
    assert waited_for(hold_points.holds_on(job, run)) == [5]
    still = line(2)
    assert hold_points.holds_on(sheet(still, begun), still) == ()


def test_a_run_waits_for_another_job_of_the_engine_and_other_steps_do_not(others: list[Any]) -> None:
    others.append(sheet(checked(9), line(10, done=True, begun=True), checked(11, settled=True)))
    run, still = line(2, runs_engine=True), line(2)
    found = hold_points.holds_on(sheet(run), run)
    assert waited_for(found) == [9] and found[0].elsewhere and found[0].job is others[0].job
    assert found[0].wanted == "the second check of step 9 of visit 2026-0001 (Act 9)"
    assert hold_points.holds_on(sheet(still), still) == ()


def test_a_run_up_waits_for_every_check_of_what_was_done(others: list[Any]) -> None:
    job = sheet(
        checked(1),
        checked(2, done=False, begun=False),
        checked(3, settled=True),
        line(4, done=True, begun=True),
        checked(5, runs_engine=True),
    )
    assert waited_for(hold_points.holds_on_a_run_up(job)) == [1]
    assert not hold_points.holds_on_a_run_up(job)[0].elsewhere
    others.append(sheet(checked(9)))
    assert waited_for(hold_points.holds_on_a_run_up(job)) == [1, 9]


def test_which_runs_a_step_holds() -> None:
    runs = [line(n, runs_engine=True, done=done) for n, done in ((1, False), (3, True), (4, False))]
    still = line(5)
    assert numbers(hold_points.runs_held_by(sheet(*runs, still), checked(2))) == [4]
    assert hold_points.runs_held_by(sheet(*runs, still), line(2, done=True, begun=True)) == ()


def test_a_step_closed_over_is_refused_until_what_covers_it_is_open() -> None:
    holder, cover, open_cover = checked(1), line(2, done=True), line(3)
    job = sheet(holder, cover, open_cover)
    assert numbers(hold_points.covered_by(job, holder)) == [2]
    with pytest.raises(VisitError, match=r"Step 2 covers step 1 and is done\..* reopen it first"):
        hold_points.refuse_where_held(job, holder)
    settled = checked(1, settled=True)
    assert hold_points.covered_by(sheet(settled, cover), settled) == ()
    hold_points.refuse_where_held(sheet(settled, cover), settled)
    several = sheet(holder, cover, line(3, done=True), line(4, done=True))
    with pytest.raises(VisitError, match="Steps 2, 3 and 4 cover step 1 and are done"):
        hold_points.refuse_where_held(several, holder)
    two = sheet(holder, cover, line(3, done=True))
    with pytest.raises(VisitError, match="Steps 2 and 3 cover step 1"):
        hold_points.refuse_where_held(two, holder)


def test_a_refusal_says_what_is_waited_for_and_who_can_change_it() -> None:
    later = line(3)
    with pytest.raises(VisitError) as one:
        hold_points.refuse_where_held(sheet(checked(1), later), later)
    assert str(one.value) == (
        "Step 3 waits for the second check of step 1 (Act 1): Ingo can give it. Nothing was changed."
    )
    with pytest.raises(VisitError) as two:
        hold_points.refuse_where_held(sheet(checked(1, done=False), checked(2), later), later)
    assert str(two.value) == (
        "Step 3 waits for step 1 (Act 1) and its second check and 1 more: do step 1 first. Nothing was changed."
    )
    holds = hold_points.holds_on_a_run_up(sheet(checked(1)))
    assert hold_points.run_up_held_in_words(holds).startswith(
        "A run-up waits for the second check of step 1 (Act 1): Ingo"
    )
    assert " and 1 more: Ingo" in hold_points.run_up_held_in_words(holds * 2)


def test_before_what_a_step_is_a_hold_point() -> None:
    holder = checked(1)
    steps = (holder, line(2, done=True), line(3), line(4, gives_torque=False, runs_engine=True))
    words = hold_points.hold_in_words
    assert words(sheet(*steps), holder) == "before step 3: Act 3, and before the engine runs"
    assert words(sheet(*steps[:3]), holder) == "before step 3: Act 3"
    assert words(sheet(*steps[:2]), holder) == ""
    assert words(sheet(holder, steps[3]), holder) == "before the engine runs"
    settled, plain = checked(1, settled=True), line(1, done=True)
    assert words(sheet(settled, *steps[1:]), settled) == "" and words(sheet(plain, *steps[1:]), plain) == ""


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], "nobody else here may give it. Ask the manager"),
        (["A"], "A can give it"),
        (["A", "B"], "A or B can give it"),
        (["A", "B", "C"], "A, B or C can give it"),
        (["A", "B", "C", "D"], "A, B, C or D can give it"),
        (["A", "B", "C", "D", "E"], "A, B, C, D or 1 more can give it"),
        (["A", "B", "C", "D", "E", "F"], "A, B, C, D or 2 more can give it"),
    ],
)
def test_who_can_give_it(shop: Any, names: list[str], words: str) -> None:
    shop.names = names
    assert hold_points.who_can_check(checked(1)) == words


def test_who_works_alone_is_said_from_when(shop: Any) -> None:
    shop.works_alone = True
    assert hold_points.who_can_check(checked(1)) == ("a second look is possible 20 minutes after it is done")
    shop.ready = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
    assert hold_points.who_can_check(checked(1)) == "a second look is possible from 09:30 UTC"


def test_the_checks_that_wait_for_a_person(shop: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that hold other work first; a person's own only where a second look is possible."""
    allowed = {"right": True, "confirm": True}
    monkeypatch.setattr(hold_points, "may", lambda person, right: allowed["right"])
    monkeypatch.setattr(hold_points.second_checks, "may_confirm", lambda of, person: allowed["confirm"])
    person: Any = object()
    free, holding = checked(1, gives_torque=False), checked(2)
    job = sheet(free, holding, line(3), awaiting=(free, holding))
    free.step.no_hold = "Nothing covers it."

    def found(*jobs: Any) -> list[int]:
        return [check.line.number for check in hold_points.checks_for(person, jobs)]

    assert found(job) == [2, 1]
    assert hold_points.checks_for(person, [job])[0].look_from is None
    shop.ready = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
    assert hold_points.checks_for(person, [job])[0].look_from is None
    allowed["confirm"] = False
    assert hold_points.checks_for(person, [job])[0].look_from == shop.ready
    shop.ready = None
    assert found(job) == []
    allowed["confirm"] = True
    paused = sheet(free, open=True, course=SimpleNamespace(paused=True))
    assert found(paused) == [] and found(sheet(free, open=False)) == []
    allowed["right"] = False
    assert found(job) == []


def test_on_a_composed_card_a_run_waits_for_every_second_check_before_it() -> None:
    first = composed(1, "b", second_check=True)
    run, late = composed(2, "a", runs_engine=True), composed(3, "b", second_check=True)
    assert waited_for(hold_points.holds_on(sheet(first, run, late), run)) == [1]
    of_another = line(1, "b", second_check=True)
    alone = line(2, "a", runs_engine=True)
    assert waited_for(hold_points.holds_on(sheet(of_another, alone), alone)) == []


def test_on_a_composed_card_a_stop_holds_what_serves_its_card_and_no_other_branch() -> None:
    stop = composed(1, "a", stops=True)
    shared, other = composed(2, "b", "a"), composed(3, "b")
    job = sheet(stop, shared, other)
    assert waited_for(hold_points.holds_on(job, shared)) == [1]
    assert waited_for(hold_points.holds_on(job, other)) == []


def test_a_step_that_is_not_needed_holds_nothing_and_waits_for_nothing() -> None:
    spare = line(1, second_check=True, not_needed=True)
    joint, run = line(2), line(3, runs_engine=True)
    job = sheet(spare, joint, run)
    assert hold_points.holds_on(job, joint) == hold_points.holds_on(job, run) == ()
    assert hold_points.hold_in_words(job, spare) == "" and hold_points.runs_held_by(job, spare) == ()
    needed = line(1, second_check=True)
    job = sheet(needed, joint, run)
    assert waited_for(hold_points.holds_on(job, joint)) == waited_for(hold_points.holds_on(job, run)) == [1]
    never_run = line(3, runs_engine=True, not_needed=True)
    assert numbers(hold_points.runs_held_by(sheet(needed, never_run), needed)) == []


def test_a_finding_before_the_next_run_holds_runs_on_either_side_and_two_runs_never_each_other() -> None:
    first, found, last = line(1, runs_engine=True), line(2, keeps_runs=True), line(3, runs_engine=True)
    job = sheet(first, found, line(4), last)
    assert waited_for(hold_points.holds_on(job, first)) == waited_for(hold_points.holds_on(job, last)) == [2]
    assert waited_for(hold_points.holds_on(job, line(4))) == []
    assert waited_for(hold_points.holds_on_a_run_up(job)) == [2]
    one, two = (line(n, runs_engine=True, keeps_runs=True) for n in (1, 2))
    job = sheet(one, two)
    assert waited_for(hold_points.holds_on(job, one)) == []
    assert waited_for(hold_points.holds_on(job, two)) == [1]
    safe = line(3, runs_engine=True, makes_safe=True)
    assert hold_points.holds_on(sheet(found, safe), safe) == ()
