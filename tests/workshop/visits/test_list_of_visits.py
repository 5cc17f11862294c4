"""The list of visits: searched by engine, owner, number, person and month, twenty a page."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tickover.workshop.visits import actions
from tickover.workshop.visits.listing import PAGE, Wanted, visits_page
from tickover.workshop.visits.models import Job

pytestmark = pytest.mark.usefixtures("verified")


def close(job: Job, crew: Any, at: datetime) -> Job:
    actions.close_without_release(job, "not wanted", who=crew.technician, at=at)
    return job


@pytest.fixture
def many(outer: Any, crew: Any, now: datetime) -> list[Job]:
    """More than two pages, two of them begun at the very same second."""
    found = []
    for n in range(2 * PAGE + 3):
        at = now + timedelta(hours=n // 2)
        found.append(close(actions.open_job(outer, "plug-look", who=crew.technician, at=at), crew, at))
    return found


def test_each_visit_is_on_one_page_newest_first(many: list[Job], signed_in: Any, crew: Any) -> None:
    seen, after, pages = [], "", 0
    while True:
        page = visits_page(Wanted(), after)
        assert page.count == len(many) and len(page.jobs) <= PAGE
        seen += [job.number for job in page.jobs]
        pages += 1
        if not page.older:
            break
        after = page.older
    assert pages == 3
    assert seen == [job.number for job in reversed(many)]
    browser = signed_in(crew.technician)
    shown = browser.get("/visits/").content.decode()
    assert f"after={many[-PAGE].number}" in shown
    older = browser.get(f"/visits/?after={many[-PAGE].number}").content.decode()
    assert many[-PAGE - 1].number in older and many[-1].number not in older


def test_a_visit_is_found_by_engine_owner_number_and_both_words(
    outer: Any, inner: Any, crew: Any, now: datetime
) -> None:
    first = actions.open_job(outer, "plug-look", who=crew.technician, at=now)
    second = actions.open_job(inner, "plug-look", who=crew.inspector, at=now)

    def numbers(**wanted: Any) -> set[str]:
        return {job.number for job in visits_page(Wanted(**wanted)).jobs}

    assert numbers(text=outer.serial) == {first.number}
    assert numbers(text=outer.name.lower()) == {first.number}
    assert first.number in numbers(text=outer.owner.name[:4])
    assert numbers(text=f"{second.number} {inner.serial}") == {second.number}
    assert numbers(text=f"{second.number} {outer.serial}") == set()
    assert numbers(person=crew.inspector.username) == {second.number}


def test_who_did_a_step_worked_on_it(outer: Any, crew: Any, hands: Any, now: datetime) -> None:
    job = actions.open_job(outer, "plug-look", who=crew.inspector, at=now)
    assert not visits_page(Wanted(person=crew.technician.username)).jobs
    hands.do(job, "make-safe")
    assert [j.pk for j in visits_page(Wanted(person=crew.technician.username)).jobs] == [job.pk]


def test_a_month_is_that_of_the_workshop(outer: Any, crew: Any) -> None:
    """Late on the last evening in Auckland it is still the last day of October in UTC, noon of it."""
    at = datetime(2025, 10, 31, 12, 30, tzinfo=UTC)
    with timezone.override("Pacific/Auckland"):  # UTC+13: 1 November, 01:30
        job = actions.open_job(outer, "plug-look", who=crew.technician, at=at)
        assert [j.pk for j in visits_page(Wanted(month=date(2025, 11, 1))).jobs] == [job.pk]
        assert not visits_page(Wanted(month=date(2025, 10, 1))).jobs
    with timezone.override("UTC"):
        assert [j.pk for j in visits_page(Wanted(month=date(2025, 10, 1))).jobs] == [job.pk]
        assert not visits_page(Wanted(month=date(2025, 12, 1))).jobs


def test_a_month_that_cannot_be_read_says_so(signed_in: Any, crew: Any) -> None:
    shown = signed_in(crew.technician).get("/visits/?month=soon&q=x").content.decode()
    assert "Enter a valid date" in shown and "No visit matches" in shown


def test_a_visit_that_is_open_for_a_year_is_still_on_top_and_can_be_released(
    outer: Any, crew: Any, hands: Any, now: datetime, signed_in: Any
) -> None:
    job = actions.start_visit(
        outer, {"plug-look": "due"}, actions.ArrivalWords(), who=crew.technician, at=now
    )
    hands.at = now + timedelta(days=400)
    page = signed_in(crew.technician).get("/visits/").content.decode()
    assert job.number in page.split('id="all"')[0]
    hands.do_all(job)
    released = hands.release(job)
    assert released.at == hands.at
    overdue = [row for row in released.else_due if row["state"] == "overdue"]
    assert overdue, "what fell due meanwhile is named"
