"""The bench clock: one for each person, stopped by a thumb or typed at the end; it teaches the next estimate."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.scope import scope
from tickover.workshop.visits import actions
from tickover.workshop.visits.actions import ArrivalWords, VisitError
from tickover.workshop.visits.minutes import clock_actions, worked
from tickover.workshop.visits.models import ComposedCard, Job

pytestmark = pytest.mark.usefixtures("verified")

ROUTINE = dict.fromkeys(("plug-look", "propeller-blades"), "due")


@pytest.fixture
def job(outer: Any, crew: Any, now: datetime) -> Job:
    return actions.start_visit(outer, ROUTINE, ArrivalWords(), who=crew.technician, at=now)


def test_a_thumb_starts_and_stops_it(job: Job, crew: Any, now: datetime) -> None:
    clock_actions.start_clock(job, who=crew.technician, at=now)
    assert worked.bench_time(job, crew.technician).mine and not worked.bench_time(job, crew.inspector).mine
    row = clock_actions.stop_clock(job, who=crew.technician, at=now + timedelta(minutes=42))
    assert row.minutes == pytest.approx(42.0)
    clock_actions.type_minutes(job, 8.0, who=crew.inspector, at=now)
    spent = worked.bench_time(job, crew.technician)
    assert spent.minutes == pytest.approx(50.0) and spent.mine is None
    assert spent.words == f"{crew.technician} 42 min, {crew.inspector} 8 min"


def test_a_person_has_one_clock(job: Job, hands: Any, inner: Any, crew: Any, now: datetime) -> None:
    other = hands.open(inner)
    clock_actions.start_clock(job, who=crew.technician, at=now)
    before = Entry.objects.count()
    for on in (job, other):
        with pytest.raises(VisitError, match=f"on visit {job.number}"):
            clock_actions.start_clock(on, who=crew.technician, at=now)
    with pytest.raises(VisitError, match="does not run on visit"):
        clock_actions.stop_clock(other, who=crew.technician, at=now)
    with pytest.raises(VisitError, match="does not run on visit"):
        clock_actions.stop_clock(job, who=crew.inspector, at=now)
    assert Entry.objects.count() == before


@pytest.mark.parametrize(("seconds", "taken"), [(0, True), (1, False)])
def test_a_forgotten_clock_asks_for_the_minutes(
    job: Job, crew: Any, now: datetime, seconds: int, taken: bool
) -> None:
    clock_actions.start_clock(job, who=crew.technician, at=now)
    later = now + clock_actions.LONGEST + timedelta(seconds=seconds)
    if taken:
        assert clock_actions.stop_clock(job, who=crew.technician, at=later).minutes == 720.0
        return
    with pytest.raises(VisitError, match="was it forgotten"):
        clock_actions.stop_clock(job, who=crew.technician, at=later)
    clock_actions.type_minutes(job, 95.0, who=crew.technician, at=later)
    assert worked.running(crew.technician) is None


@pytest.mark.parametrize(("minutes", "taken"), [(0.0, False), (0.5, True), (1440.0, True), (1441.0, False)])
def test_minutes_are_those_of_a_day(job: Job, crew: Any, now: datetime, minutes: float, taken: bool) -> None:
    if taken:
        assert clock_actions.type_minutes(job, minutes, who=crew.technician, at=now)
        return
    with pytest.raises(VisitError, match="from 1 to 1440"):
        clock_actions.type_minutes(job, minutes, who=crew.technician, at=now)


def test_a_timed_visit_teaches_the_next_estimate(job: Job, hands: Any, crew: Any, now: datetime) -> None:
    card = ComposedCard.objects.filter(job=job).latest("id").minutes
    before = scope.estimate(scope.scope_of(job.engine, now.date()).sheet, ROUTINE, now.date())
    assert before.pace_words == ""
    clock_actions.type_minutes(job, 2.0 * card, who=crew.technician, at=now)
    assert worked.card_and_worked() == [], "not before it is released"
    hands.do_all(job)
    hands.release(job)
    assert worked.card_and_worked() == [(pytest.approx(card), pytest.approx(2.0 * card))]
    after = scope.estimate(scope.scope_of(job.engine, now.date()).sheet, ROUTINE, now.date())
    assert before.minutes < after.minutes < 2.0 * before.minutes
    assert "by 1 timed visits here" in after.pace_words


def test_the_page_has_a_clock_for_a_thumb(job: Job, crew: Any, signed_in: Any) -> None:
    browser = signed_in(crew.technician)
    page, clock = f"/visits/{job.number}/", f"/visits/{job.number}/clock/"
    assert "Start clock" in browser.get(page).content.decode()
    browser.post(clock, {"what": "start"})
    assert "Stop clock" in browser.get(page).content.decode()
    browser.post(clock, {"what": "stop"})
    assert (
        "On the bench:" not in browser.get(page).content.decode()
        or worked.bench_time(job, None).minutes < 1.0
    )
    browser.post(clock, {"what": "type", "minutes": "1,5"})
    assert worked.bench_time(job, None).minutes == pytest.approx(1.5, abs=0.2)
    wrong = browser.post(clock, {"what": "type", "minutes": "soon"}, follow=True).content.decode()
    assert "is not a number" in wrong and "Nothing was saved" in wrong
