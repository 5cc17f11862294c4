"""The engine leaves after its release: to whom and with what; until then Today reminds of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.visits import actions
from tickover.workshop.visits.actions import ArrivalWords, VisitError
from tickover.workshop.visits.models import HandedBack, Job
from tickover.workshop.visits.releasing.leaving import to_hand_back

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(outer: Any, by: dict[str, Any]) -> Job:
    return actions.start_visit(outer, {"plug-look": "due"}, ArrivalWords(came_with="log book"), **by)


def test_an_engine_that_is_not_released_stays(job: Job, by: dict[str, Any]) -> None:
    before = Entry.objects.count()
    with pytest.raises(VisitError, match="not released, so the engine stays"):
        actions.hand_back(job, "the owner", **by)
    assert Entry.objects.count() == before and to_hand_back() == []


def test_a_released_one_waits_on_today_until_somebody_took_it(
    job: Job, hands: Any, by: dict[str, Any], signed_in: Any, crew: Any
) -> None:
    hands.do_all(job)
    hands.release(job)
    assert [j.pk for j in to_hand_back()] == [job.pk]
    browser = signed_in(crew.technician)
    assert "Hand back" in browser.get("/").content.decode()
    page = browser.get(f"/visits/{job.number}/").content.decode()
    assert 'value="log book"' in page and f'value="{job.engine.owner.name}"' in page
    sent = {"to": "her brother", "went_with": "log book, old plug", "words": "told of the hoses"}
    assert browser.post(f"/visits/{job.number}/hand-back/", sent).status_code == 302
    row = HandedBack.objects.get(job=job)
    assert (row.to, row.went_with, row.words, row.by) == (*sent.values(), crew.technician)
    assert to_hand_back() == []
    assert "Handed back to her brother" in browser.get(f"/visits/{job.number}/").content.decode()
    assert "Hand back" not in browser.get("/").content.decode()


def test_it_leaves_once_and_to_somebody(job: Job, hands: Any, by: dict[str, Any]) -> None:
    hands.do_all(job)
    hands.release(job)
    with pytest.raises(VisitError, match="Type who took the engine"):
        actions.hand_back(job, "  ", **by)
    actions.hand_back(job, "the owner", **by)
    with pytest.raises(VisitError, match="Handed back to the owner already"):
        actions.hand_back(job, "somebody else", **by)


def test_a_job_without_an_arrival_is_not_waited_for(outer: Any, hands: Any) -> None:
    job = hands.open(outer)
    hands.do_all(job)
    hands.release(job)
    assert to_hand_back() == []
