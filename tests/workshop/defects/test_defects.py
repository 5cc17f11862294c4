"""Deferred defects: what may wait, who accepts it, how near its limit it is, and what puts it right."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from tests.workshop.visits.test_course import asking
from tickover.workshop.defects import actions, queries
from tickover.workshop.defects.actions import DefectError, NewDefect, Until
from tickover.workshop.defects.models import (
    DefectRectified,
    DeferralExtended,
    DeferralWithdrawn,
    DeferredDefect,
)
from tickover.workshop.people.actions import change_workshop
from tickover.workshop.register import queries as register
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

pytestmark = pytest.mark.usefixtures("verified")

MAY = date(2025, 5, 31)
SCRATCH = NewDefect("Scratch in the spinner", "cosmetic, by our own judgement", until_h=20.0, until_on=MAY)


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def scratch(outer: Any, crew: Any, by: dict[str, Any]) -> DeferredDefect:
    return actions.defer(outer, SCRATCH, accepted_by=crew.inspector, **by)


def test_a_defect_waits_with_its_limit_and_who_accepted_it(scratch: DeferredDefect, now: datetime) -> None:
    line = queries.line_of(scratch, now.date())
    assert (scratch.number, line.state) == ("D-2025-0001", "deferred")
    assert line.limit == "20.0 h or 31 May 2025, whichever comes first"
    assert line.sentence == "20.0 h left, 26 days left"


@pytest.mark.parametrize(
    ("hours_h", "day", "state"),
    [
        (1.0, date(2025, 5, 5), "deferred"),
        (14.9, date(2025, 5, 5), "deferred"),
        (15.1, date(2025, 5, 5), "near its limit"),
        (20.2, date(2025, 5, 5), "over its limit"),
        (1.0, date(2025, 5, 17), "near its limit"),
        (1.0, date(2025, 5, 31), "near its limit"),
        (1.0, date(2025, 6, 1), "over its limit"),
    ],
)
def test_whichever_limit_comes_first_counts(
    scratch: DeferredDefect, hours: Callable[..., Any], hours_h: float, day: date, state: str
) -> None:
    hours(scratch.engine, hours_h)
    line = queries.open_defects(day, scratch.engine)[0]
    assert line.state == state and (line in queries.wanting(day)) == (state != "deferred")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"what": " "}, "what the defect is"),
        ({"why_it_may_wait": ""}, "why it may wait"),
        ({"until_h": None, "until_on": None}, "Give a limit"),
        ({"until_h": 0.0}, "is not ahead"),
        ({"until_h": 5000.0}, "is not ahead"),
        ({"until_h": float("nan")}, "is not ahead"),
        ({"until_on": date(2025, 5, 5)}, "is not ahead"),
        ({"until_on": date(2035, 5, 5)}, "three years"),
    ],
)
def test_a_defect_that_is_half_said_is_refused(
    outer: Any, crew: Any, by: dict[str, Any], change: dict[str, Any], says: str
) -> None:
    from dataclasses import replace

    with pytest.raises(DefectError, match=says):
        actions.defer(outer, replace(SCRATCH, **change), accepted_by=crew.inspector, **by)
    assert not DeferredDefect.objects.exists()


def test_nobody_accepts_for_himself_and_a_technician_for_nobody(outer: Any, crew: Any, now: datetime) -> None:
    for who, accepts in ((crew.technician, crew.technician), (crew.inspector, crew.inspector)):
        with pytest.raises(DefectError, match="may not accept"):
            actions.defer(outer, SCRATCH, accepted_by=accepts, who=who, at=now)
    with pytest.raises(DefectError, match="may not accept"):
        actions.defer(outer, SCRATCH, accepted_by=crew.technician, who=crew.inspector, at=now)
    assert actions.defer(outer, SCRATCH, accepted_by=crew.manager, who=crew.inspector, at=now)


def test_one_who_works_alone_accepts_if_he_may_release(outer: Any, crew: Any, by: dict[str, Any]) -> None:
    change_workshop({"works_alone": True}, "alone this month", actor="maud", at=by["at"])
    assert actions.who_may_accept(other_than=crew.technician) == [crew.technician]
    assert actions.defer(outer, SCRATCH, accepted_by=crew.technician, **by)


def test_a_finding_that_asks_for_a_task_may_be_deferred(
    outer: Any, hands: Any, crew: Any, by: dict[str, Any]
) -> None:
    task, step, finding, wanted = asking(register.build_of(outer))
    job = hands.open(outer, task)
    hands.do(job, step, finding=finding)
    new = NewDefect("A spring is stretched", "by the card", until_h=5.0, step_id=step)
    row = actions.defer(outer, new, job=job, accepted_by=crew.inspector, **by)
    assert (row.finding_id, row.task_id) == (finding, wanted)
    assert not any("which asks for" in b for b in visits.job_sheet(job).blockers)
    with pytest.raises(DefectError, match="deferred already"):
        actions.defer(outer, new, job=job, accepted_by=crew.inspector, **by)


def test_what_means_stop_never_waits(outer: Any, hands: Any, crew: Any, by: dict[str, Any]) -> None:
    job = hands.open(outer)
    step = next(
        s
        for s in visits.job_sheet(job).steps
        if any(f.action in ("stop", "do not release") for f in s.step.findings)
    )
    finding = next(f.id for f in step.step.findings if f.action in ("stop", "do not release"))
    hands.do(job, step.step.id, finding=finding)
    new = NewDefect("A crack", "it is small", until_h=5.0, step_id=step.step.id)
    with pytest.raises(DefectError, match="cannot wait"):
        actions.defer(outer, new, job=job, accepted_by=crew.inspector, **by)


def test_a_job_on_another_engine_or_that_is_over_is_refused(
    outer: Any, inner: Any, hands: Any, crew: Any, by: dict[str, Any], scratch: DeferredDefect
) -> None:
    other, over = hands.open(inner), hands.open(outer)
    visit_actions.close_without_release(over, "no time", **by)
    for job, says in ((other, "another engine"), (over, "closed without release")):
        with pytest.raises(DefectError, match=says):
            actions.defer(outer, SCRATCH, job=job, accepted_by=crew.inspector, **by)
        with pytest.raises(DefectError, match=says):
            actions.rectify(scratch, job, "polished", **by)


@pytest.fixture
def ready(outer: Any, hands: Any) -> Job:
    job = hands.open(outer)
    hands.do_all(job)
    return job


def test_it_is_put_right_when_the_job_is_released(
    scratch: DeferredDefect, ready: Job, hands: Any, by: dict[str, Any], now: datetime
) -> None:
    with pytest.raises(DefectError, match="how it was fixed"):
        actions.rectify(scratch, ready, " ", **by)
    actions.rectify(scratch, ready, "new spinner", **by)
    line = queries.open_defects(now.date())[0]
    assert (line.in_job, line.rectified) == (ready, None)
    with pytest.raises(DefectError, match="is already fixed in visit 2025-0001"):
        actions.rectify(scratch, ready, "again", **by)
    release = hands.release(ready)
    assert queries.open_defects(now.date()) == [] and [w.defect for w in queries.history()] == [scratch]
    assert queries.line_of(scratch, now.date()).state == "rectified"
    assert queries.deferred_at(release) == []


def test_it_stands_again_when_the_job_ends_without_a_release(
    scratch: DeferredDefect, ready: Job, by: dict[str, Any], now: datetime
) -> None:
    actions.rectify(scratch, ready, "new spinner", **by)
    visit_actions.close_without_release(ready, "part did not fit", **by)
    assert queries.open_defects(now.date())[0].in_job is None
    assert DefectRectified.objects.count() == 1


def test_a_release_says_what_was_deferred_then_whatever_comes_later(
    scratch: DeferredDefect, ready: Job, outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    first = hands.release(ready)
    later = hands.open(outer)
    hands.do_all(later)
    actions.rectify(scratch, later, "new spinner", **by)
    assert queries.deferred_at(hands.release(later)) == []
    assert [w.defect for w in queries.deferred_at(first)] == [scratch]
    assert "Scratch in the spinner; until 20.0 h or 31 May 2025" in queries.deferred_of(first)[0]


def test_an_engine_with_a_defect_over_its_limit_is_not_released(
    scratch: DeferredDefect, ready: Job, hands: Any, by: dict[str, Any], now: datetime
) -> None:
    late = now + timedelta(days=60)
    with pytest.raises(
        visit_actions.VisitError, match=r"D-2025-0001, Scratch in the spinner: over its limit"
    ):
        hands.release(ready, at=late)
    actions.rectify(scratch, ready, "new spinner", **by)
    assert hands.release(ready, at=late)


# Another limit, and a deferral that is taken back


def test_another_limit_counts_from_then_on_and_the_first_stays_in_sight(
    scratch: DeferredDefect, ready: Job, crew: Any, hands: Any, by: dict[str, Any], now: datetime
) -> None:
    actions.extend(scratch, Until(h=30.0), "looked at again: no longer", accepted_by=crew.manager, **by)
    line = queries.line_of(scratch, now.date())
    assert (line.limit, line.first_limit) == ("30.0 h", "20.0 h or 31 May 2025, whichever comes first")
    assert line.state == "deferred" and queries.line_of(scratch, MAY + timedelta(days=1)).state == "deferred"
    told = queries.deferred_of(hands.release(ready))[0]
    assert "until 30.0 h (given another limit once; at first 20.0 h or 31 May 2025" in told
    assert told.endswith("Accepted by Maud Ferrer.")


def test_a_release_keeps_the_limit_it_was_signed_with(
    scratch: DeferredDefect, ready: Job, crew: Any, hands: Any, by: dict[str, Any]
) -> None:
    release = hands.release(ready)
    actions.extend(scratch, Until(h=30.0), "looked at again", accepted_by=crew.inspector, **by)
    actions.withdraw(scratch, "no scratch, dirt", accepted_by=crew.inspector, **by)
    assert "until 20.0 h or 31 May 2025" in queries.deferred_of(release)[0]


def test_a_defect_over_its_limit_may_be_given_another_and_the_engine_released(
    scratch: DeferredDefect, ready: Job, crew: Any, hands: Any, now: datetime
) -> None:
    late = now + timedelta(days=60)
    until = Until(on=late.date() + timedelta(days=10))
    actions.extend(scratch, until, "no longer", accepted_by=crew.inspector, who=crew.technician, at=late)
    assert hands.release(ready, at=late)


@pytest.mark.parametrize(
    ("until", "reason", "says"),
    [
        (Until(), "why", "Give a limit"),
        (Until(h=0.0), "why", "is not ahead"),
        (Until(on=date(2025, 5, 5)), "why", "is not ahead"),
        (Until(h=30.0), " ", "Type why the new limit holds"),
    ],
)
def test_another_limit_that_is_half_said_is_refused(
    scratch: DeferredDefect, crew: Any, by: dict[str, Any], until: Until, reason: str, says: str
) -> None:
    with pytest.raises(DefectError, match=says):
        actions.extend(scratch, until, reason, accepted_by=crew.inspector, **by)
    assert not DeferralExtended.objects.exists()


def test_nobody_moves_a_limit_or_withdraws_on_his_own(
    scratch: DeferredDefect, crew: Any, by: dict[str, Any]
) -> None:
    with pytest.raises(DefectError, match="may not accept this"):
        actions.extend(scratch, Until(h=30.0), "why", accepted_by=crew.technician, **by)
    with pytest.raises(DefectError, match="may not accept this"):
        actions.withdraw(scratch, "why", accepted_by=crew.technician, **by)
    with pytest.raises(DefectError, match="Type why the deferral is withdrawn"):
        actions.withdraw(scratch, "", accepted_by=crew.inspector, **by)


def test_a_withdrawn_deferral_stands_no_more_and_stays_on_record(
    scratch: DeferredDefect, ready: Job, crew: Any, hands: Any, by: dict[str, Any], now: datetime
) -> None:
    actions.withdraw(scratch, "no scratch, dirt", accepted_by=crew.inspector, **by)
    assert queries.open_defects(now.date()) == [] and queries.deferred_at(hands.release(ready)) == []
    assert queries.line_of(scratch, now.date()).state == "withdrawn"
    assert [w.defect for w in queries.history()] == [scratch]
    for act in (
        lambda: actions.withdraw(scratch, "again", accepted_by=crew.inspector, **by),
        lambda: actions.extend(scratch, Until(h=30.0), "again", accepted_by=crew.inspector, **by),
    ):
        with pytest.raises(DefectError, match="is withdrawn already"):
            act()
    assert DeferralWithdrawn.objects.get().reason == "no scratch, dirt"


def test_what_is_withdrawn_or_in_work_is_not_put_right_or_moved(
    scratch: DeferredDefect, ready: Job, outer: Any, crew: Any, by: dict[str, Any]
) -> None:
    other = actions.defer(outer, SCRATCH, accepted_by=crew.inspector, **by)
    actions.withdraw(other, "twice noted", accepted_by=crew.inspector, **by)
    with pytest.raises(DefectError, match="is withdrawn"):
        actions.rectify(other, ready, "new spinner", **by)
    actions.rectify(scratch, ready, "new spinner", **by)
    with pytest.raises(DefectError, match="is being fixed in visit"):
        actions.extend(scratch, Until(h=30.0), "why", accepted_by=crew.inspector, **by)


def test_a_finding_stands_against_the_release_again_once_its_deferral_is_withdrawn(
    outer: Any, hands: Any, crew: Any, by: dict[str, Any]
) -> None:
    task, step, finding, _ = asking(register.build_of(outer))
    job = hands.open(outer, task)
    hands.do(job, step, finding=finding)
    new = NewDefect("A spring is stretched", "by the card", until_h=5.0, step_id=step)
    row = actions.defer(outer, new, job=job, accepted_by=crew.inspector, **by)
    actions.withdraw(row, "it may not wait after all", accepted_by=crew.inspector, **by)
    assert any("is needed" in b for b in visits.job_sheet(job).blockers)
    assert actions.defer(outer, new, job=job, accepted_by=crew.inspector, **by).number != row.number
