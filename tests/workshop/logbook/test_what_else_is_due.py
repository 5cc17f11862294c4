"""Release and hand-back sheet say what else is due, as it was on that day; what was done is in the past tense."""

from __future__ import annotations

import io
from datetime import date, datetime, timedelta
from typing import Any

import pypdf
import pytest

from tickover.sheets.loading import shipped_sheets
from tickover.workshop.logbook import hand_back, job_papers
from tickover.workshop.programme import actions as programme
from tickover.workshop.register import queries as register
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import ArrivalWords
from tickover.workshop.visits.models import Job, Release

pytestmark = pytest.mark.usefixtures("verified")


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.split())


@pytest.fixture
def job(outer: Any, crew: Any, now: datetime) -> Job:
    scope = dict.fromkeys(("plug-look", "propeller-blades"), "due")
    return actions.start_visit(outer, scope, ArrivalWords(), who=crew.technician, at=now)


def by_title(signed: Release) -> dict[str, dict[str, str]]:
    return {row["task"]: row for row in signed.else_due}


def test_a_release_names_each_task_that_is_due_and_that_it_did_not_do(
    job: Job, hands: Any, outer: Any
) -> None:
    hands.do_all(job)
    signed = hands.release(job)
    sheet = register.build_of(outer)
    done = {t.task.id for t in queries.job_sheet(job).tasks}
    today = hands.at.date().toordinal()
    from tickover.workshop.programme.queries import due_points

    left = {
        task.title
        for task, due, _ in due_points(outer)
        if task.id not in done and str(due.state(signed.engine_h, today)) != "not yet"
    }
    assert left and set(by_title(signed)) == left
    assert not {sheet.task(name).title for name in done} & set(by_title(signed))
    text = words(job_papers.release(queries.job_sheet(job)))
    assert "What else is due on this engine" in text
    for row in signed.else_due:
        assert row["task"].split(":")[0].split()[0] in text


def test_overdue_comes_first(job: Job, hands: Any) -> None:
    hands.do_all(job)
    order = ["overdue", "due", "due soon", "not due yet"]
    places = [order.index(row["state"]) for row in hands.release(job).else_due]
    assert places == sorted(places)


def test_a_task_at_its_limit_is_due_and_one_out_of_sight_is_not(
    outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    """A task with an interval of months only, done so that it falls due on the day, and done that very day."""
    sheet = register.build_of(outer)
    task = next(
        t
        for t in sheet.programme
        if t.interval_months and t.interval_months % 12 == 0 and t.id not in ("plug-look", "propeller-blades")
    )
    today = now.date()
    before = date(today.year - int(task.interval_months or 0) // 12, today.month, today.day)
    programme.record_done(
        outer, task.id, before, 0.0, "the old logbook", brought_forward=True, who=crew.technician, at=now
    )
    job = actions.start_visit(outer, {"plug-look": "due"}, ArrivalWords(), who=crew.technician, at=now)
    hands.do_all(job)
    assert by_title(hands.release(job))[task.title]["state"] == "due"
    programme.record_done(
        outer, task.id, today, 0.0, "again", brought_forward=True, who=crew.technician, at=now + timedelta(1)
    )
    second = actions.start_visit(
        outer, {"propeller-blades": "due"}, ArrivalWords(), who=crew.technician, at=now
    )
    hands.do_all(second)
    assert task.title not in by_title(hands.release(second))


def test_what_was_dropped_is_on_the_release_with_its_reason(
    job: Job, hands: Any, crew: Any, now: datetime
) -> None:
    actions.drop_task(job, "propeller-blades", "Parts are missing", who=crew.technician, at=now)
    hands.do_all(job)
    row = next(row for row in hands.release(job).else_due if row["dropped"])
    assert row["dropped"] == "Parts are missing"
    sheet = queries.job_sheet(job)
    assert "dropped: Parts are missing" in words(job_papers.release(sheet))
    assert "Parts are missing" in words(hand_back.hand_back(sheet))


def test_an_old_release_says_the_same_after_more_has_come_due(job: Job, hands: Any) -> None:
    hands.do_all(job)
    hands.release(job)
    sheet = queries.job_sheet(job)
    before = words(job_papers.release(sheet))
    programme.record_done(
        job.engine,
        "fuel-hoses-look",
        hands.at.date(),
        queries.job_sheet(job).job.engine_h,
        "later",
        brought_forward=True,
        who=hands.crew.technician,
        at=hands.at,
    )
    assert words(job_papers.release(queries.job_sheet(job))) == before


def test_the_owner_reads_what_was_done_in_the_past(job: Job, hands: Any) -> None:
    hands.do_all(job)
    hands.release(job)
    text = words(hand_back.hand_back(queries.job_sheet(job)))
    assert "We looked at the spark plug" in text
    assert "Six minutes" not in text, "the card's own summary speaks to the technician"


@pytest.mark.parametrize("name", sorted(shipped_sheets()))
def test_every_shipped_card_has_words_for_the_owner(name: str) -> None:
    for card in shipped_sheets()[name].cards:
        assert card.for_owner.endswith("."), card.id
        assert " we " in f" {card.for_owner.lower()}", card.id


def test_the_work_card_has_a_heading_where_the_work_moves_to_another_place(job: Job) -> None:
    sheet = queries.job_sheet(job)
    data = job_papers.work_card_data(sheet)
    places = [step.place for step in data.steps if step.place]
    assert places == [part.title for part in sheet.parts] and len(places) > 3
    assert len(data.steps) == len(sheet.steps)
    assert places[1] in words(job_papers.work_card(sheet))


def test_a_card_of_one_task_has_no_headings(hands: Any, outer: Any) -> None:
    data = job_papers.work_card_data(queries.job_sheet(hands.open(outer)))
    assert not any(step.place for step in data.steps)
