"""A caution is shown whole once in a visit; before the engine runs, each person confirms that they have read it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import ArrivalWords, VisitError
from tickover.workshop.visits.models import CautionConfirmed, Job
from tickover.workshop.visits.steps.cautions import cautions_at, paragraphs

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(outer: Any, by: dict[str, Any]) -> Job:
    """A visit with two cards that both run the engine."""
    return actions.start_visit(
        outer, {"running-baseline": "due", "plug-look": "due", "flange-check": "due"}, ArrivalWords(), **by
    )


@pytest.fixture
def before_the_run(job: Job, hands: Any) -> tuple[Job, Any]:
    """The same with everything done up to the first step that runs the engine and has a caution."""
    for line in queries.job_sheet(job).steps:
        if line.step.runs_engine and line.step.caution:
            return job, line
        hands.do(job, line.step.id)
    raise AssertionError("no step runs the engine")


def test_nothing_is_recorded_at_a_run_before_its_caution_was_confirmed(
    before_the_run: tuple[Job, Any], by: dict[str, Any]
) -> None:
    job, line = before_the_run
    found = line.step.findings[0].id if line.step.findings else ""
    with pytest.raises(VisitError, match=f"Step {line.number} runs the engine. Confirm first"):
        actions.mark_done(job, line.step.id, finding_id=found, **by)
    rows = actions.confirm_cautions(job, line.step.id, **by)
    assert [row.text for row in rows] == list(paragraphs(line))
    assert actions.mark_done(job, line.step.id, finding_id=found, **by)


def test_a_caution_is_confirmed_once_a_visit_and_person(
    before_the_run: tuple[Job, Any], crew: Any, by: dict[str, Any]
) -> None:
    job, line = before_the_run
    assert actions.confirm_cautions(job, line.step.id, **by)
    before = Entry.objects.count()
    assert actions.confirm_cautions(job, line.step.id, **by) == []
    assert Entry.objects.count() == before
    assert queries.cautions_confirmed(job, crew.inspector) == frozenset()
    assert actions.confirm_cautions(job, line.step.id, who=crew.inspector, at=by["at"])
    assert CautionConfirmed.objects.filter(job=job).values("by").distinct().count() == 2


def test_another_caution_of_a_later_run_is_confirmed_by_itself(
    before_the_run: tuple[Job, Any], by: dict[str, Any], crew: Any
) -> None:
    job, line = before_the_run
    actions.confirm_cautions(job, line.step.id, **by)
    confirmed = queries.cautions_confirmed(job, crew.technician)
    steps = queries.job_sheet(job).steps
    later = [s for s in steps if s.step.runs_engine and set(paragraphs(s)) - confirmed]
    assert later
    shown = cautions_at(steps, later[0], confirmed)
    assert [c.to_confirm for c in shown] == [c.text not in confirmed for c in shown]


def test_a_caution_is_whole_where_the_visit_comes_to_it_first_and_one_line_after_that(job: Job) -> None:
    steps = queries.job_sheet(job).steps
    seen: set[str] = set()
    again = 0
    for line in steps:
        for caution in cautions_at(steps, line, frozenset(t for s in steps for t in paragraphs(s))):
            assert caution.whole == (caution.text not in seen)
            again += not caution.whole
        seen |= set(paragraphs(line))
    assert again > 0


def test_a_step_that_runs_nothing_asks_for_no_confirmation(job: Job, by: dict[str, Any]) -> None:
    line = next(s for s in queries.job_sheet(job).steps if s.step.caution and not s.step.runs_engine)
    assert actions.confirm_cautions(job, line.step.id, **by) == []
    assert not any(c.to_confirm for c in cautions_at(queries.job_sheet(job).steps, line, frozenset()))


def test_the_page_asks_first_and_then_takes_what_is_recorded(
    before_the_run: tuple[Job, Any], crew: Any, signed_in: Any
) -> None:
    job, line = before_the_run
    browser = signed_in(crew.technician)
    page = f"/visits/{job.number}/steps/{line.step.id}/"
    shown = browser.get(page).content.decode()
    assert "I have read the caution" in shown and f"{page}done/" not in shown
    assert browser.post(f"{page}caution/").status_code == 302
    shown = browser.get(page).content.decode()
    assert "I have read the caution" not in shown and f"{page}done/" in shown
    assert browser.post(f"/visits/{job.number}/steps/none/caution/").status_code == 404
