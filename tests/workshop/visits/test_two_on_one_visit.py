"""Two people on one visit: each page asks what the other did, and is answered with that and nothing else."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

import pytest

from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Job

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def job(outer: Any, hands: Any) -> Job:
    return hands.open(outer)


def watched(page: str) -> str:
    [address] = re.findall(r'hx-get="([^"]+)"', page)
    return str(address).replace("&amp;", "&")


def test_a_page_of_a_visit_is_told_nothing_while_nothing_happens(job: Job, signed_in: Any, crew: Any) -> None:
    browser = signed_in(crew.inspector)
    address = watched(browser.get(f"/visits/{job.number}/").content.decode())
    answer = browser.get(address)
    assert (answer.status_code, answer.content) == (204, b"")


def test_a_step_done_by_another_comes_into_the_list_once(
    job: Job, hands: Any, signed_in: Any, crew: Any
) -> None:
    browser = signed_in(crew.inspector)
    address = watched(browser.get(f"/visits/{job.number}/").content.decode())
    hands.do(job, "make-safe")
    answer = browser.get(address).content.decode()
    assert 'id="steps-now"' in answer and 'hx-swap-oob="true"' in answer
    assert f"Done by {crew.technician}" in answer and "<html" not in answer
    assert browser.get(watched(answer)).status_code == 204


def test_who_reads_a_step_is_told_when_another_did_that_very_step(
    job: Job, hands: Any, signed_in: Any, crew: Any
) -> None:
    browser = signed_in(crew.inspector)
    second = queries.job_sheet(job).steps[1].step.id
    address = watched(browser.get(f"/visits/{job.number}/steps/{second}/").content.decode())
    hands.do(job, "make-safe")
    answer = browser.get(address).content.decode()
    assert 'id="rail"' in answer and "Changed meanwhile" not in answer
    hands.do(job, second)
    assert "Changed meanwhile" in browser.get(watched(answer)).content.decode()


def test_a_visit_that_is_over_is_not_watched(
    job: Job, hands: Any, signed_in: Any, crew: Any, now: datetime
) -> None:
    actions.close_without_release(job, "not wanted", who=crew.technician, at=now)
    assert "hx-get" not in signed_in(crew.inspector).get(f"/visits/{job.number}/").content.decode()


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("", 200),
        ("?since=x", 200),
        ("?since=-1", 200),
        ("?since=1&step=none", 404),
        (f"?since={'9' * 19}", 204),
    ],
)
def test_a_strange_question_is_answered(job: Job, signed_in: Any, crew: Any, asked: str, status: int) -> None:
    browser = signed_in(crew.inspector)
    assert browser.get(f"/visits/{job.number}/changes/{asked}").status_code == status
    assert browser.get("/visits/none/changes/").status_code == 404


def test_a_blind_reading_does_not_come_by_this_way(outer: Any, hands: Any, signed_in: Any, crew: Any) -> None:
    service = hands.open(outer, "diaphragm-service")
    lever = "lever-height"
    for line in queries.job_sheet(service).steps:
        if line.step.id == lever:
            break
        hands.do(service, line.step.id)
    browser = signed_in(crew.inspector)
    address = watched(browser.get(f"/visits/{service.number}/").content.decode())
    hands.do(service, lever, checked=False)
    read = queries.job_sheet(service).step(lever).taken[-1].reading.typed
    kept = browser.get(address).content.decode()
    assert "second check open" in kept
    assert f"{read} mm" not in kept
