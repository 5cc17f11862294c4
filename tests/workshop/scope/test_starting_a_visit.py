"""Start visit: what is due on one engine goes onto one card, with one press, and nothing of it gets lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils.html import escape

from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.scope import scope
from tickover.workshop.scope.take_in import take_in
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import ArrivalWords, VisitError, VisitRunningError
from tickover.workshop.visits.models import Arrival, ComposedCard, Job

pytestmark = pytest.mark.usefixtures("verified")
ROUTINE = dict.fromkeys(("plug-look", "throttle-and-stop", "propeller-blades", "running-baseline"), "due")


@pytest.fixture
def start(outer: Any, crew: Any, now: datetime) -> Callable[..., Job]:
    def begin(wanted: dict[str, str] = ROUTINE, words: ArrivalWords | None = None) -> Job:
        return actions.start_visit(outer, wanted, words or ArrivalWords(), who=crew.technician, at=now)

    return begin


def test_a_visit_is_one_job_with_one_card_and_says_how_the_engine_came_in(start: Any, now: datetime) -> None:
    words = ArrivalWords("It hunts at idle", "Dusty", "Cover and bar", now.date() + timedelta(days=3))
    job = start(words=words)
    sheet = queries.job_sheet(job)
    assert {t.task.id for t in sheet.tasks} == set(ROUTINE)
    assert [s.step.act for s in sheet.steps].count("Ground the stop switch and pull the plug cap off.") == 1
    assert len(sheet.steps) < sum(len(card.steps) for card in sheet.cards) - 10
    assert sheet.arrival and sheet.arrival.owner_says == "It hunts at idle"
    assert {line["task"] for line in sheet.arrival.scope} == set(ROUTINE)
    assert ComposedCard.objects.filter(job=job).count() == 1
    assert Entry.objects.filter(subject=f"job/{job.number}", kind="visit started").count() == 1


def test_every_task_of_a_visit_is_done_by_its_release(start: Any, hands: Any, outer: Any) -> None:
    job = start()
    hands.do_all(job)
    assert queries.job_sheet(job).blockers == []
    release = hands.release(job)
    done = TaskDone.objects.filter(engine=outer, reference__contains=release.number)
    assert {row.task_id for row in done} >= set(ROUTINE)


def test_work_that_turns_up_is_put_into_what_is_still_to_do(
    start: Any, hands: Any, crew: Any, now: datetime
) -> None:
    job = start()
    before = queries.job_sheet(job).steps
    for line in before[:6]:
        hands.do(job, line.step.id)
    actions.add_task(job, "fuel-hoses-look", "smells of fuel", who=crew.technician, at=now)
    after = queries.job_sheet(job).steps
    assert [s.step.id for s in after[:6]] == [s.step.id for s in before[:6]]
    assert all(s.done for s in after[:6])
    first_run = next(s.number for s in after if s.runs_engine)
    hoses = [s.number for s in after if "fuel-hoses-look" in s.cards and s.group == "Fuel"]
    assert hoses and max(hoses) < first_run
    actions.drop_task(job, "fuel-hoses-look", "it was the owner's glove", who=crew.technician, at=now)
    assert [s.step.id for s in queries.job_sheet(job).steps] == [s.step.id for s in before]


def test_a_lesser_task_of_the_scope_is_done_with_the_greater(start: Any) -> None:
    job = start({"diaphragm-service": "due", "pop-off-and-hold": "due"})
    assert [t.task.id for t in queries.job_sheet(job).tasks] == ["diaphragm-service"]
    assert {line["task"] for line in Arrival.objects.get(job=job).scope} == {
        "diaphragm-service",
        "pop-off-and-hold",
    }


def test_the_second_who_starts_is_led_to_the_first(start: Any) -> None:
    job = start()
    before = Entry.objects.count()
    with pytest.raises(VisitRunningError, match=f"is in already: {job.number} is open") as refused:
        start()
    assert (refused.value.number, Entry.objects.count()) == (job.number, before)


@pytest.mark.parametrize(
    ("wanted", "words", "says"),
    [
        ({}, ArrivalWords(), "Tick one task"),
        (ROUTINE, ArrivalWords(promised_on=date(2025, 5, 4)), "promised day, 4 May 2025, is over"),
        (ROUTINE, ArrivalWords(owner_says="x" * 2001), "too long"),
        (ROUTINE, ArrivalWords(came_with="x" * 501), "too long"),
    ],
)
def test_what_cannot_be_started_changes_nothing(start: Any, wanted: Any, words: Any, says: str) -> None:
    before = Entry.objects.count()
    with pytest.raises(VisitError, match=says):
        start(wanted, words)
    assert Entry.objects.count() == before


def test_the_promised_day_may_be_today(start: Any, now: datetime) -> None:
    assert start(words=ArrivalWords(promised_on=now.date()))


def test_a_task_of_another_build_is_none(start: Any) -> None:
    with pytest.raises(LookupError):
        start({"belt-tension": "due"})
    assert not Job.objects.exists()


def test_the_scope_ticks_what_is_due_and_what_is_cheaper_now(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 100.0, date(2025, 3, 1))
    found = scope.scope_of(outer, date(2025, 5, 5))
    by_name = {group.name: group for group in found.groups}
    overdue = {line.task.id for line in by_name["overdue"].lines}
    assert overdue and overdue <= set(found.ticked)
    assert all(not line.ticked for line in by_name["while-open"].lines) if "while-open" in by_name else True
    come_to = found.estimate(found.ticked)
    assert 0 < come_to.steps < come_to.steps_alone
    assert come_to.saved_min > 0 and come_to.minutes > 60
    assert found.estimate(()).minutes == 0


def test_today_has_one_row_for_an_engine_and_none_for_one_that_is_in(
    outer: Any, hours: Callable[..., Any], start: Any
) -> None:
    from tickover.workshop.programme import queries as programme

    hours(outer, 100.0, date(2025, 3, 1))
    lines = programme.engine_lines([outer], date(2025, 5, 5))
    (row,) = take_in(lines, ())
    assert row.due > row.overdue > 0 and row.counts == f"{row.due} due, {row.overdue} overdue"
    assert take_in(lines, {outer.pk}) == []


def test_from_today_to_a_running_visit_is_two_presses(
    client: Client, crew: Any, outer: Any, hours: Callable[..., Any]
) -> None:
    hours(outer, 100.0, date(2025, 3, 1))
    client.force_login(crew.technician)
    address = f"/engines/{outer.serial}/start-visit/"
    assert address in client.get("/").content.decode()
    page = client.get(address).content.decode()
    found = scope.scope_of(outer, date.today())
    assert escape(found.groups[0].lines[0].task.title) in page
    answer = client.post(address, {"task": found.ticked})
    job = Job.objects.get()
    assert answer.headers["Location"] == f"/visits/{job.number}/"
    shown = client.get(f"/visits/{job.number}/").content.decode()
    assert "cards as one" in shown and f"Visit {job.number}" in shown
    again = client.post(address, {"task": found.ticked})
    assert again.headers["Location"] == f"/visits/{job.number}/"
    assert Job.objects.count() == 1


def test_minutes_can_be_worked_out_without_a_script(client: Client, crew: Any, outer: Any) -> None:
    client.force_login(crew.technician)
    address = f"/engines/{outer.serial}/start-visit/"
    page = client.post(address, {"task": ["plug-look"], "again": "on"})
    assert page.status_code == 200 and "1 task," in page.content.decode()
    assert not Job.objects.exists()
    part = client.get(f"{address}minutes/", {"task": ["plug-look", "compression-check"]}).content.decode()
    assert "2 tasks," in part and "one by one" in part


def test_a_visit_without_a_task_is_asked_for_one(client: Client, crew: Any, outer: Any) -> None:
    client.force_login(crew.technician)
    answer = client.post(f"/engines/{outer.serial}/start-visit/", {})
    assert answer.status_code == 422 and "Tick one task" in answer.content.decode()


def test_a_step_is_one_press(client: Client, crew: Any, hands: Any, outer: Any, start: Any) -> None:
    job = start({"plug-look": "due", "compression-check": "due"})
    client.force_login(crew.technician)
    lines = queries.job_sheet(job).steps
    reading = next(
        line for line in lines if line.limit and not line.step.findings and not line.step.second_check
    )
    for line in lines[: reading.number - 1]:
        hands.do(job, line.step.id)
    address = f"/visits/{job.number}/steps/{reading.step.id}/"
    assert "Save and next" in client.get(address).content.decode()
    middle = (reading.limit.lower + reading.limit.upper) / 2
    answer = client.post(f"{address}reading/", {"typed": f"{middle:g}", "then": "next"})
    following = lines[reading.number]
    assert answer.headers["Location"] == f"/visits/{job.number}/steps/{following.step.id}/"
    assert queries.job_sheet(job).step(reading.step.id).done


def test_save_and_next_stays_where_the_reading_is_outside(
    client: Client, crew: Any, hands: Any, start: Any
) -> None:
    job = start({"plug-look": "due", "compression-check": "due"})
    client.force_login(crew.technician)
    lines = queries.job_sheet(job).steps
    reading = next(
        line for line in lines if line.limit and not line.step.findings and not line.step.second_check
    )
    for line in lines[: reading.number - 1]:
        hands.do(job, line.step.id)
    address = f"/visits/{job.number}/steps/{reading.step.id}/"
    outside = reading.limit.upper + 0.4 * (reading.limit.plausible_upper - reading.limit.upper)
    answer = client.post(f"{address}reading/", {"typed": f"{outside:g}", "then": "next"})
    assert answer.headers["Location"] == address
    line = queries.job_sheet(job).step(reading.step.id)
    assert line.reading and not line.done


def test_weeks_leads_to_the_scope_of_its_visit(
    client: Client, crew: Any, outer: Any, hours: Callable[..., Any]
) -> None:
    hours(outer, 100.0, date(2025, 3, 1))
    client.force_login(crew.technician)
    shown = client.get("/weeks/").content.decode()
    asked = re.search(rf'href="(/engines/{outer.serial}/start-visit/\?task=[^"]+)"', shown)
    assert asked
    page = client.get(unescape(asked[1])).content.decode()
    wanted = set(re.findall(r"task=([a-z0-9-]+)", asked[1]))
    ticked = set(re.findall(r'value="([a-z0-9-]+)" checked', page))
    assert ticked == wanted


def test_open_fault_finding_offers_the_cures_of_its_likely_causes(
    outer: Any, crew: Any, now: datetime
) -> None:
    from tickover.workshop.fault_finding import actions as fault_finding
    from tickover.workshop.fault_finding.actions import NewSession
    from tickover.workshop.fault_finding.queries import session_sheet
    from tickover.workshop.fault_finding.reasoning import diagnose

    assert not any(g.name == "fault-finding" for g in scope.scope_of(outer, now.date()).groups)
    session = fault_finding.start(
        outer, NewSession("dies at full throttle after a minute"), who=crew.technician, at=now
    )
    likely = [c.task for s in diagnose(session_sheet(session)).suspects[:4] for c in s.causes]
    found = scope.scope_of(outer, now.date())
    group = next(g for g in found.groups if g.name == "fault-finding")
    assert group.lines and {line.task.id for line in group.lines} <= set(likely)
    assert not any(line.ticked for line in group.lines)
    assert all(session.number in line.why and "%" in line.why for line in group.lines)
    listed = [line.task.id for g in found.groups for line in g.lines]
    assert len(listed) == len(set(listed)), "a task is offered once"
