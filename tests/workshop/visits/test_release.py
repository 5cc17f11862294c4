"""Release to service: refused while anything stands against it, signed once, and never twice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.people.actions import NewPerson, add_person
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Closure, Job, Release

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def check(outer: Any, hands: Any) -> Job:
    return hands.open(outer)


@pytest.fixture
def ready(check: Job, hands: Any) -> Job:
    """A flange check with every step done and confirmed."""
    hands.do_all(check)
    return check


def refused(hands: Any, job: Job, says: str, who: Any = None) -> None:
    before = Entry.objects.count()
    with pytest.raises(actions.VisitError, match=says):
        hands.release(job, who=who)
    assert (Release.objects.count(), TaskDone.objects.count(), Entry.objects.count()) == (0, 0, before)


def test_a_job_with_nothing_against_it_is_released(
    ready: Job, hands: Any, crew: Any, hours: Callable[..., Any]
) -> None:
    hours(ready.engine, 12.5, sd_h=0.2)
    words = actions.ReleaseWords(not_done=" plug left in ", limitations="")
    release = actions.release(ready, words, who=crew.technician, at=hands.at)
    assert (release.number, release.by, release.authority) == ("R-2025-0001", crew.technician, "T-1")
    assert (release.engine_h, release.engine_sd_h, release.not_done) == (12.5, 0.2, "plug left in")
    assert queries.job_sheet(ready).state == "released"
    assert queries.open_jobs() == []


def test_the_whole_diaphragm_service_of_each_build_can_be_released(
    outer: Any, inner: Any, hands: Any
) -> None:
    for engine in (outer, inner):
        job = hands.open(engine, "diaphragm-service")
        hands.do_all(job)
        assert queries.job_sheet(job).blockers == []
        hands.release(job)


def test_open_steps_are_named_when_a_release_is_refused(check: Job, hands: Any) -> None:
    hands.do_all(check, but=("look-flange", "witness-paint"))
    refused(hands, check, "Not released. Step 2, Look at flange .*: not done. Step 4, Compare the witness")


def test_a_reading_below_the_limit_is_not_released(outer: Any, hands: Any, crew: Any, now: datetime) -> None:
    job = hands.open(outer, "diaphragm-service")
    hands.do(job, "reseat", typed="0.3; 30")
    refused(hands, job, r"outside its limit\. 0\.30? bar ± 0\.0\d+: too low \(min ")


def test_a_lever_below_the_limit_is_confirmed_by_nobody(
    outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    job = hands.open(outer, "diaphragm-service")
    hands.do(job, "lever-height", typed="1.1", checked=False)
    refused(hands, job, "lever's height from the body face: second check open")
    assert actions.second_check(job, "lever-height", who=crew.inspector, at=now, typed="1.1") is None
    refused(hands, job, "lever's height from the body face: not done")


def test_a_lever_that_cannot_be_told_from_its_limit_is_not_released(
    outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    job = hands.open(outer, "diaphragm-service")
    hands.do(job, "lever-height", typed="1.21", checked=False)
    # The second person finds it inside; the first reading still stands.
    actions.second_check(job, "lever-height", who=crew.inspector, at=now, typed="1.4")
    hands.do_all(job)
    refused(hands, job, "reading not clear")


def test_a_second_check_that_is_open_stands_against_a_release(check: Job, hands: Any) -> None:
    hands.do(check, "flange-torque", checked=False)
    refused(hands, check, "second check open")


def test_a_finding_that_forbids_it_stands_against_a_release(check: Job, hands: Any) -> None:
    hands.do_all(check, but=("look-flange",))
    hands.do(check, "look-flange", finding="cracked")
    refused(hands, check, "found “Cracked, dented or bent”: do not release")


def test_after_the_cause_is_cured_the_step_is_opened_again_and_released(
    check: Job, hands: Any, crew: Any, now: datetime
) -> None:
    hands.do_all(check, but=("look-flange",))
    hands.do(check, "look-flange", finding="cracked")
    actions.reopen(check, "look-flange", "new flange fitted", who=crew.technician, at=now)
    hands.do(check, "look-flange", finding="sound")
    assert hands.release(check).number == "R-2025-0001"


def test_a_confirmed_step_opened_again_is_no_longer_released(
    ready: Job, hands: Any, crew: Any, now: datetime
) -> None:
    for step_id in ("paint-again", "flange-torque"):
        actions.reopen(ready, step_id, "nut moved", who=crew.technician, at=now)
    hands.do(ready, "flange-torque", checked=False)
    refused(hands, ready, "second check open")


def test_who_has_no_authority_releases_nothing(ready: Job, hands: Any, crew: Any, now: datetime) -> None:
    apprentice = add_person(NewPerson("pip", "Pip", "Arden", "technician"), at=now)
    refused(hands, ready, "Pip Arden has no release authority", who=apprentice)
    refused(hands, ready, "Maud Ferrer has no release authority", who=crew.manager)


def test_the_second_to_release_is_told_who_was_first(ready: Job, hands: Any, crew: Any) -> None:
    hands.release(ready, at=hands.at)
    before = Entry.objects.count()
    with pytest.raises(actions.VisitError, match="was released by Tilda Reeve on 5 May 2025, 09:00 UTC"):
        hands.release(ready, who=crew.inspector, at=hands.at + timedelta(minutes=1))
    assert (Release.objects.count(), TaskDone.objects.count(), Entry.objects.count()) == (1, 1, before)


def test_the_second_to_close_is_told_who_was_first(check: Job, crew: Any, now: datetime) -> None:
    actions.close_without_release(check, "flange cracked, none in stores", who=crew.technician, at=now)
    before = Entry.objects.count()
    with pytest.raises(actions.VisitError, match=r"was closed by Tilda Reeve\. Nothing was changed"):
        actions.close_without_release(check, "me too", who=crew.inspector, at=now)
    assert (Closure.objects.count(), Entry.objects.count()) == (1, before)


def test_a_job_is_closed_without_a_release_for_a_reason_only(
    check: Job, outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    with pytest.raises(actions.VisitError, match="Type why"):
        actions.close_without_release(check, " ", who=crew.technician, at=now)
    actions.close_without_release(check, "owner took the engine home", who=crew.technician, at=now)
    assert queries.job_sheet(check).state == "closed without release"
    assert not TaskDone.objects.exists()  # what was due stays due
    assert hands.open(outer).number == "2025-0002"


@pytest.mark.parametrize("end", ["released", "closed"])
def test_on_a_job_that_ended_nothing_is_written(
    ready: Job, hands: Any, crew: Any, now: datetime, end: str
) -> None:
    if end == "released":
        hands.release(ready)
    else:
        actions.close_without_release(ready, "not fit", who=crew.technician, at=now)
    by = {"who": crew.technician, "at": now}
    writes: list[Callable[[], Any]] = [
        lambda: actions.note_kit(ready, "K-1", **by),
        lambda: actions.take_reading(ready, "flange-torque", "10", **by),
        lambda: actions.mark_done(ready, "make-safe", **by),
        lambda: actions.reopen(ready, "make-safe", "late thought", **by),
        lambda: actions.second_check(ready, "flange-torque", typed="10", **by),
        lambda: actions.close_without_release(ready, "late thought", **by),
        lambda: actions.release(ready, actions.ReleaseWords(), **by),
    ]
    before = Entry.objects.count()
    for write in writes:
        with pytest.raises(actions.VisitError, match=f"was {end} by Tilda Reeve"):
            write()
    assert Entry.objects.count() == before


def test_the_release_holds_the_hours_of_that_moment(
    ready: Job, hands: Any, hours: Callable[..., Any]
) -> None:
    hours(ready.engine, 3.0)
    release = hands.release(ready)
    hours(ready.engine, 2.0)
    assert Release.objects.get().engine_h == release.engine_h == 3.0
