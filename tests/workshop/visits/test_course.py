"""The course of a job: remarks, pause and hand-over, and the tasks it takes or loses on the way."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest
from django.test import Client

from tickover.sheets import TypeSheet
from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import job_papers
from tickover.workshop.people.actions import change_person
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.scope import offers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import AddedTask, HandOver, Job, KitNote, Pause, Remark, StepMark

pytestmark = pytest.mark.usefixtures("verified")

SERVICE = "diaphragm-service"


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def check(outer: Any, hands: Any) -> Job:
    return hands.open(outer)


def asking(sheet: TypeSheet) -> tuple[str, str, str, str]:
    """A task, a step of its card and a finding there that asks for a further task with a card."""
    for task in sheet.programme:
        for step in sheet.card(task.card).steps if task.card else ():
            for f in step.findings:
                if (
                    f.action == "add task"
                    and not step.runs_engine
                    and f.task != task.id
                    and sheet.task(f.task).card not in (None, task.card)
                ):
                    return task.id, step.id, f.id, f.task
    raise AssertionError("no finding of the sheet asks for a further task")


@pytest.fixture
def asked(outer: Any, hands: Any, crew: Any, now: datetime) -> tuple[Job, str, str]:
    """A job with one step done at which something was found: the job, the step, and the task that is asked."""
    from tickover.workshop.register import queries as register

    task, step, finding, wanted = asking(register.build_of(outer))
    job = hands.open(outer, task)
    hands.do(job, step, finding=finding)
    return job, step, wanted


def test_a_remark_is_added_at_any_time_and_stays(check: Job, hands: Any, by: dict[str, Any]) -> None:
    hands.do(check, "make-safe")
    actions.remark(check, " the paint line was there ", step_id="make-safe", **by)
    actions.remark(check, "owner waits for a call", **by)
    remarks = queries.job_sheet(check).remarks
    assert [(r.step_id, r.text) for r in remarks] == [
        ("make-safe", "the paint line was there"),
        ("", "owner waits for a call"),
    ]


@pytest.mark.parametrize("text", ["", "  ", "x" * 2001])
def test_a_remark_says_something_and_is_no_book(check: Job, by: dict[str, Any], text: str) -> None:
    with pytest.raises(VisitError, match="Nothing was saved"):
        actions.remark(check, text, **by)
    assert not Remark.objects.exists()


def test_a_remark_on_a_step_of_no_card_is_refused(check: Job, by: dict[str, Any]) -> None:
    with pytest.raises(LookupError, match="no step"):
        actions.remark(check, "x", step_id="nowhere", **by)


def test_a_paused_job_takes_no_work_until_it_goes_on(check: Job, hands: Any, by: dict[str, Any]) -> None:
    actions.pause(check, "tray 4", "torque wrench is out", **by)
    sheet = queries.job_sheet(check)
    assert (sheet.state, sheet.course.paused.where) == ("paused", "tray 4")
    with pytest.raises(VisitError, match=r"is paused since .*tray 4: torque wrench is out"):
        hands.do(check, "make-safe")
    with pytest.raises(VisitError, match="is paused"):
        hands.release(check)
    actions.remark(check, "wrench comes on Friday", **by)
    actions.resume(check, **by)
    hands.do(check, "make-safe")
    assert queries.job_sheet(check).state == "open"
    assert list(Pause.objects.values_list("state", flat=True)) == ["paused", "resumed"]


def test_a_pause_says_where_and_why(check: Job, by: dict[str, Any]) -> None:
    for where, why in (("", "late"), ("tray 4", " ")):
        with pytest.raises(VisitError, match="where the engine and its parts are"):
            actions.pause(check, where, why, **by)
    with pytest.raises(VisitError, match="is not paused"):
        actions.resume(check, **by)


def test_a_job_is_handed_over_with_what_is_open(check: Job, crew: Any, by: dict[str, Any]) -> None:
    assert queries.job_sheet(check).course.holder(check) == crew.technician
    actions.hand_over(check, crew.inspector, "two screws of the flange are finger tight", **by)
    course = queries.job_sheet(check).course
    assert course.holder(check) == crew.inspector
    assert course.handed_over.still_open == "two screws of the flange are finger tight"


def test_a_job_is_not_handed_to_oneself_nor_without_a_word(check: Job, crew: Any, by: dict[str, Any]) -> None:
    with pytest.raises(VisitError, match="Choose someone else"):
        actions.hand_over(check, crew.technician, "nothing", **by)
    with pytest.raises(VisitError, match="what is open"):
        actions.hand_over(check, crew.inspector, " ", **by)
    left = change_person(crew.inspector, {"is_active": False}, "has left", actor="maud", at=by["at"])
    with pytest.raises(VisitError, match="may not record work"):
        actions.hand_over(check, left, "nothing", **by)
    assert not HandOver.objects.exists()


def test_an_added_task_brings_its_steps_its_kit_and_its_record(
    check: Job, hands: Any, by: dict[str, Any]
) -> None:
    alone = queries.job_sheet(check)
    actions.add_task(check, SERVICE, "the diaphragm was stiff", **by)
    sheet = queries.job_sheet(check)
    ids = [s.step.id for s in sheet.steps]
    served = [name for s in sheet.steps for name in s.serves]
    assert {("flange-check", s.step.id) for s in alone.steps} <= set(served), "its own steps are all done"
    assert len(served) == len(set(served)) > len(ids), "each once, and one act for several where it can be"
    assert any(i.startswith(f"{SERVICE}.") for i in ids)
    assert [s.number for s in sheet.steps] == list(range(1, len(ids) + 1))
    assert "pump-gasket-plain" in {p.part.id for p in sheet.use}
    assert "with Carburettor diaphragm service" in sheet.task_title
    actions.note_kit(check, "K-9", card_id=SERVICE, **by)
    hands.do_all(check)
    release = hands.release(check)
    done = TaskDone.objects.filter(reference=release.number).values_list("task_id", flat=True)
    assert sorted(done) == sorted(["flange-check", SERVICE])
    assert KitNote.objects.get().card_id == SERVICE and "K-9" in queries.job_sheet(check).lot


def test_lists_of_jobs_name_every_task_that_stands(
    check: Job, hands: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any
) -> None:
    actions.add_task(check, SERVICE, "due anyway", **by)
    actions.close_without_release(check, "the engine was fetched", **by)
    client = signed_in(crew.technician)
    for address in ("/visits/", f"/engines/{check.engine.serial}/"):
        assert queries.job_sheet(check).task_title in client.get(address).content.decode()


def test_the_release_names_every_card_lot_and_next_due(check: Job, hands: Any, by: dict[str, Any]) -> None:
    actions.add_task(check, SERVICE, "due anyway", **by)
    actions.note_kit(check, "K-9", card_id=SERVICE, **by)
    hands.do_all(check)
    hands.release(check)
    sheet = queries.job_sheet(check)
    pages = pypdf.PdfReader(io.BytesIO(job_papers.release(sheet))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert ", ".join(f"“{card.title}”" for card in sheet.cards) in text
    due = text[text.index("Next due") :]
    assert all(f"{t.task.title} " in due for t in sheet.tasks) and len(sheet.tasks) == 2
    with_lots = [kit for kit in sheet.kits if kit.lot]
    assert [kit.lot for kit in with_lots] == ["K-9"]
    assert text.count("K-9") == len(with_lots[0].use)


def test_a_task_by_a_card_the_job_has_already_repeats_nothing(outer: Any, hands: Any, by: Any) -> None:
    from collections import Counter

    from tickover.workshop.register import queries as register

    cards = Counter(t.card for t in register.build_of(outer).programme if t.card)
    card = next(c for c, n in cards.items() if n > 1)
    first, second = [t.id for t in register.build_of(outer).programme if t.card == card][:2]
    job = hands.open(outer, first)
    before = len(queries.job_sheet(job).steps)
    actions.add_task(job, second, "due anyway", **by)
    sheet = queries.job_sheet(job)
    assert len(sheet.steps) == before and sheet.added[0].repeats
    actions.drop_task(job, second, "not now", **by)


def test_a_task_is_in_one_open_job_only(check: Job, outer: Any, hands: Any, by: dict[str, Any]) -> None:
    actions.add_task(check, SERVICE, "stiff", **by)
    with pytest.raises(VisitError, match="does “Carburettor diaphragm service” already"):
        actions.add_task(check, SERVICE, "stiff", **by)
    with pytest.raises(VisitError, match=f"Visit {check.number} is open for this already"):
        hands.open(outer, SERVICE)
    other = hands.open(outer, "plug-renewal")
    with pytest.raises(
        VisitError, match=f"Visit {check.number} is open for “Carburettor diaphragm service” already"
    ):
        actions.add_task(other, SERVICE, "stiff", **by)


def test_the_row_of_an_added_task_leads_to_the_job_that_does_it(
    check: Job, outer: Any, inner: Any, by: dict[str, Any], crew: Any, signed_in: Any
) -> None:
    actions.add_task(check, SERVICE, "stiff", **by)
    wanted = {(outer.pk, "flange-check"): check.number, (outer.pk, SERVICE): check.number}
    assert queries.numbers_by_task() == queries.numbers_by_task(outer) == wanted
    assert queries.numbers_by_task(inner) == {}
    browser = signed_in(crew.technician)
    again = f"/engines/{outer.serial}/tasks/{SERVICE}/open-job/"
    for page in (f"/engines/{outer.serial}/", "/"):
        assert again not in browser.get(page).content.decode()
    actions.drop_task(check, SERVICE, "kit is not here", **by)
    assert again in browser.get(f"/engines/{outer.serial}/").content.decode()


def test_an_added_task_wants_a_reason_and_is_of_the_sheet(check: Job, by: dict[str, Any]) -> None:
    with pytest.raises(VisitError, match="why the task is added"):
        actions.add_task(check, SERVICE, " ", **by)
    with pytest.raises(VisitError, match="Choose the occasion"):
        actions.add_task(check, SERVICE, "x", occasion="whim", **by)
    with pytest.raises(LookupError):
        actions.add_task(check, "no-such-task", "x", **by)
    assert not AddedTask.objects.exists()


def test_an_added_task_is_taken_off_before_it_is_begun(check: Job, hands: Any, by: dict[str, Any]) -> None:
    before = len(queries.job_sheet(check).steps)
    actions.add_task(check, SERVICE, "stiff", **by)
    with pytest.raises(VisitError, match="why the task is dropped"):
        actions.drop_task(check, SERVICE, "", **by)
    actions.drop_task(check, SERVICE, "kit is not here", **by)
    assert len(queries.job_sheet(check).steps) == before
    with pytest.raises(LookupError):
        actions.drop_task(check, SERVICE, "again", **by)
    actions.add_task(check, SERVICE, "kit came", **by)
    step = next(s.step.id for s in queries.job_sheet(check).steps if s.step.id.startswith(f"{SERVICE}."))
    hands.do(check, step)
    with pytest.raises(VisitError, match="has begun with step"):
        actions.drop_task(check, SERVICE, "no time", **by)
    assert StepMark.objects.get().step_id == step


def test_a_finding_that_asks_for_a_task_keeps_the_engine_until_it_is_added(
    asked: tuple[Job, str, str], by: dict[str, Any]
) -> None:
    job, step, wanted = asked
    sheet = queries.job_sheet(job)
    title = sheet.sheet.task(wanted).title
    assert sheet.asks_for(sheet.step(step)) == wanted
    assert any(f": “{title}” is needed" in b for b in sheet.blockers)
    actions.add_task(job, wanted, "found", **by)
    assert not any("which asks for" in b for b in queries.job_sheet(job).blockers)


def test_what_is_due_and_shares_an_opening_is_offered(asked: tuple[Job, str, str], now: datetime) -> None:
    from datetime import timedelta

    sheet = queries.job_sheet(asked[0])
    later = (now + timedelta(days=4000)).date()
    offered = offers.due_while_open(sheet, later)
    for offer in offered:
        assert offer.minutes > 0 and offer.shares and not sheet.does(offer.task.id) and offer.task.card
    assert [o.minutes for o in offered] == sorted((o.minutes for o in offered), reverse=True)
    assert sheet.job.task_id not in {t.id for t in offers.others(sheet)}


WRITES = {
    "remark": {"text": "well"},
    "pause": {"where": "tray 4", "why": "late"},
    "hand-over": {"to": "ingo", "still_open": "nothing"},
    "more-work/add": {"task": SERVICE, "why": "stiff"},
}


@pytest.mark.parametrize("name", [*WRITES, "resume", "more-work/drop", "more-work/drop-not-begun"])
def test_a_form_is_for_people_who_are_signed_in_and_is_no_page(
    check: Job, client: Client, signed_in: Any, crew: Any, name: str
) -> None:
    before = Entry.objects.count()
    answer = client.post(f"/visits/{check.number}/{name}/", WRITES.get(name, {}))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")
    assert signed_in(crew.technician).get(f"/visits/{check.number}/{name}/").status_code == 405
    assert signed_in(crew.technician).post(f"/visits/none/{name}/", WRITES.get(name, {})).status_code == 404
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", WRITES)
def test_a_form_writes_and_the_job_shows_it(check: Job, signed_in: Any, crew: Any, name: str) -> None:
    browser = signed_in(crew.technician)
    assert (
        browser.post(f"/visits/{check.number}/{name}/", WRITES[name])["Location"]
        == f"/visits/{check.number}/"
    )
    page = browser.get(f"/visits/{check.number}/").content.decode()
    said = {
        "remark": "well",
        "pause": "Continue<span",
        "hand-over": "Handed over by",
        "more-work/add": "stiff",
    }
    assert said[name] in page and "{{" not in page and "style=" not in page
    step = queries.job_sheet(check).steps[-1].step.id
    assert browser.get(f"/visits/{check.number}/steps/{step}/").status_code == 200


def test_the_page_for_more_work_offers_what_was_found(asked: Any, signed_in: Any, crew: Any) -> None:
    job, step, wanted = asked
    browser = signed_in(crew.technician)
    for address in (f"/visits/{job.number}/more-work/", f"/visits/{job.number}/steps/{step}/"):
        page = browser.get(address).content.decode()
        assert f'name="task" value="{wanted}"' in page and "Defer as defect" in page
    assert browser.post(f"/visits/{job.number}/more-work/").status_code == 405
