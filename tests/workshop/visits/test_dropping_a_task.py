"""A task is dropped from a job in one press: it stays due or is deferred, and nothing of it vanishes."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.defects import actions as defects
from tickover.workshop.defects.models import DeferredDefect
from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import ArrivalWords, VisitError
from tickover.workshop.visits.models import ComposedCard, Job, StepMark
from tickover.workshop.visits.releasing.leaving import dropped_of

pytestmark = pytest.mark.usefixtures("verified")

TASKS = ("plug-look", "propeller-blades", "fuel-hoses-look")


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(outer: Any, by: dict[str, Any]) -> Job:
    return actions.start_visit(outer, dict.fromkeys(TASKS, "due"), ArrivalWords(), **by)


def ids(job: Job) -> list[str]:
    return [t.task.id for t in queries.job_sheet(job).tasks]


def test_the_task_a_job_was_opened_for_is_dropped_and_the_rest_goes_on(
    job: Job, hands: Any, outer: Any, by: dict[str, Any]
) -> None:
    first = ids(job)[0]
    assert first == job.task_id
    done = queries.job_sheet(job).steps[0]
    assert len(done.cards) > 1, "the first step serves several cards"
    hands.do(job, done.step.id)
    actions.drop_task(job, first, "Parts are missing", **by)
    sheet = queries.job_sheet(job)
    assert first not in ids(job) and len(ids(job)) == len(TASKS) - 1
    assert sheet.steps[0].done and sheet.steps[0].step.id == done.step.id
    assert not any(job.card_id in line.cards for line in sheet.steps)
    [dropped] = dropped_of(sheet)
    assert (dropped.task.id, dropped.row.reason) == (first, "Parts are missing")
    hands.do_all(job)
    hands.release(job)
    assert {row.task_id for row in TaskDone.objects.filter(engine=outer)} >= set(ids(job))
    assert not TaskDone.objects.filter(engine=outer, task_id=first).exists()


def test_a_dropped_first_task_is_free_for_another_job_and_can_come_back(
    job: Job, outer: Any, by: dict[str, Any]
) -> None:
    first = ids(job)[0]
    actions.drop_task(job, first, "No time", **by)
    assert (outer.pk, first) not in queries.numbers_by_task(outer)
    assert queries.open_job_for(outer, first) is None
    actions.add_task(job, first, "the parts came", **by)
    assert first in ids(job) and dropped_of(queries.job_sheet(job)) == []
    actions.drop_task(job, first, "the wrong parts", **by)
    assert first not in ids(job)


def test_what_only_the_task_asked_for_and_has_begun_keeps_it(
    job: Job, hands: Any, by: dict[str, Any]
) -> None:
    sheet = queries.job_sheet(job)
    own = next(line for line in sheet.steps if len(line.cards) == 1 and not line.step.runs_engine)
    for line in sheet.steps[: own.number]:
        hands.do(job, line.step.id)
    [card] = own.cards
    task = next(t for t in sheet.tasks if t.card.id == card)
    before = Entry.objects.count()
    with pytest.raises(VisitError, match=r"has begun with step .*Finish it, so that nothing is left open"):
        actions.drop_task(job, task.task.id, "No time", **by)
    assert Entry.objects.count() == before


def test_the_last_task_is_not_dropped_but_the_job_closed(outer: Any, hands: Any, by: dict[str, Any]) -> None:
    alone = hands.open(outer)
    with pytest.raises(VisitError, match=r"last task of this visit. Close the visit instead"):
        actions.drop_task(alone, alone.task_id, "x", **by)


def test_an_engine_leaves_with_tasks_open_and_each_stays_due(
    job: Job, hands: Any, outer: Any, by: dict[str, Any]
) -> None:
    with pytest.raises(VisitError, match=r"No task has begun. Close the visit instead"):
        actions.drop_not_begun(job, "The owner needs it", **by)
    sheet = queries.job_sheet(job)
    own = next(line for line in sheet.steps if len(line.cards) == 1 and not line.step.runs_engine)
    for line in sheet.steps[: own.number]:
        hands.do(job, line.step.id)
    waiting = {t.task.id for t in actions.not_begun(queries.job_sheet(job))}
    assert 0 < len(waiting) < len(TASKS)
    actions.drop_not_begun(job, "The owner needs it", **by)
    sheet = queries.job_sheet(job)
    assert {t.task.id for t in sheet.tasks} | waiting == set(TASKS)
    assert {d.task.id for d in dropped_of(sheet)} == waiting
    assert StepMark.objects.filter(job=job).count() == sum(line.done for line in sheet.steps)
    with pytest.raises(VisitError, match=r"Every task of this visit has begun"):
        actions.drop_not_begun(job, "again", **by)


def test_a_dropped_task_may_wait_with_a_limit_and_comes_back_into_the_scope(
    job: Job, outer: Any, crew: Any, now: datetime, by: dict[str, Any], signed_in: Any
) -> None:
    from tickover.workshop.scope.scope import scope_of

    browser = signed_in(crew.technician)
    page = f"/visits/{job.number}/"
    assert browser.post(
        f"{page}more-work/drop/", {"task": "fuel-hoses-look", "why": "Parts are missing"}
    ).status_code in (302, 303)
    shown = browser.get(page).content.decode()
    assert "Dropped, still due" in shown and "Parts are missing" in shown
    address = f"/engines/{outer.serial}/defects/new/?job={job.number}&amp;task=fuel-hoses-look"
    assert address in shown
    form = browser.get(address.replace("&amp;", "&")).content.decode()
    assert "Not done: " in form and 'value="fuel-hoses-look"' in form
    new = defects.NewDefect(
        "Not done: hoses", "renewed last year", until_on=now.date() + timedelta(30), task_id="fuel-hoses-look"
    )
    defects.defer(outer, new, accepted_by=crew.inspector, job=job, **by)
    assert DeferredDefect.objects.get().task_id == "fuel-hoses-look"
    for task in ids(job)[1:]:
        actions.drop_task(job, task, "x", **by)
    actions.close_without_release(job, "the owner took it home", **by)
    listed = {line.task.id for group in scope_of(outer, now.date()).groups for line in group.lines}
    assert "fuel-hoses-look" in listed


def test_a_deferral_names_a_task_of_the_build(
    outer: Any, crew: Any, by: dict[str, Any], now: datetime
) -> None:
    new = defects.NewDefect("x", "y", until_on=now.date() + timedelta(30), task_id="no-such-task")
    with pytest.raises(LookupError):
        defects.defer(outer, new, accepted_by=crew.inspector, **by)
    assert not DeferredDefect.objects.exists()


def test_each_reason_of_the_list_is_one_press(job: Job, crew: Any, signed_in: Any) -> None:
    shown = signed_in(crew.technician).get(f"/visits/{job.number}/").content.decode()
    for reason in actions.DROP_REASONS:
        assert shown.count(f'name="why" value="{reason}"') >= len(TASKS)


def test_one_card_is_composed_anew_and_the_old_one_kept(job: Job, by: dict[str, Any]) -> None:
    actions.drop_task(job, ids(job)[0], "No time", **by)
    assert ComposedCard.objects.filter(job=job).count() == 2
