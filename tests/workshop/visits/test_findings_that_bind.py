"""A finding that forbids the release and names its cure asks for that task and cannot be deferred; a figure waits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.defects import actions as defects
from tickover.workshop.visits import actions
from tickover.workshop.visits import queries as bench

HOSES, BEND, BAD, CURE = "fuel-hoses-look", "bend", "bad", "fuel-hose-renewal"
MOUNTS = "silent-blocks-look"

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def bad_hose(outer: Any, hands: Any) -> Any:
    job = hands.open(outer, HOSES)
    hands.do(job, BEND, finding=BAD)
    return job


def against(job: Any) -> str:
    return " ".join(b for b in bench.job_sheet(job).blockers if "Hard, cracked" in b)


def test_it_forbids_the_release_and_asks_for_the_task(bad_hose: Any) -> None:
    assert "”: do not release" in against(bad_hose)
    assert "“Fuel hoses and vent hose renewed” is needed. Add it to this visit." in against(bad_hose)
    assert "defer" not in against(bad_hose)


def test_the_task_is_added_and_the_finding_stays_until_it_is_looked_at_again(
    bad_hose: Any, hands: Any, by: dict[str, Any]
) -> None:
    actions.add_task(bad_hose, CURE, "hoses hard", **by)
    assert "asks for" not in against(bad_hose) and "do not release" in against(bad_hose)
    actions.reopen(bad_hose, BEND, "hoses renewed", **by)
    hands.do(bad_hose, BEND, finding="supple")
    assert not against(bad_hose)


def test_it_is_not_deferred_and_the_page_offers_no_such_button(
    bad_hose: Any, outer: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any, now: Any
) -> None:
    new = defects.NewDefect("Hose hard", "soon", until_on=(now + timedelta(days=3)).date(), step_id=BEND)
    with pytest.raises(defects.DefectError, match="That cannot wait"):
        defects.defer(outer, new, job=bad_hose, accepted_by=crew.inspector, **by)
    page = signed_in(crew.technician).get(f"/visits/{bad_hose.number}/steps/{BEND}/").content.decode()
    assert "Add to visit" in page and "cannot be deferred" in page and "Defer as defect" not in page


def test_no_reading_is_taken_where_only_the_maker_knows_the_figure(
    outer: Any, hands: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any
) -> None:
    job = hands.open(outer, MOUNTS)
    for step in ("torque-found", "torque-left"):
        with pytest.raises(actions.VisitError, match="Maker's figure needed: enter it in the type sheet"):
            actions.take_reading(job, step, "20", **by)
    assert not [line for line in bench.job_sheet(job).steps if line.readings]
    page = signed_in(crew.technician).get(f"/visits/{job.number}/steps/torque-left/").content.decode()
    assert "Maker’s figure needed" in page and "The wrench is set to" not in page
    assert "Take the reading; then" not in page
    actions.leave_unmeasured(job, "torque-left", "no figure at hand", **by)
    actions.mark_done(job, "torque-left", finding_id="holds", **by)
    assert any("torque" in b and "no figure at hand" in b for b in bench.job_sheet(job).blockers)
