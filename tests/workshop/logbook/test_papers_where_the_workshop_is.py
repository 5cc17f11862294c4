"""Papers print the day where the workshop is, on both sides of midnight, in summer time and in winter time."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pypdf
import pytest
from django.utils import timezone

from tests.conftest import Hands
from tickover.workshop.components import actions as components
from tickover.workshop.kernel.local_time import local_clock, local_day, local_moment
from tickover.workshop.logbook import blank_card, engine_papers, hand_back, job_papers
from tickover.workshop.register.models import Component
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.steps.exceedances import WRENCH, Spot

pytestmark = pytest.mark.usefixtures("verified")

NIGHTS = [
    # zone, local time, the day there, the day in UTC where that is another
    ("Europe/Berlin", "2026-01-16T00:30", "16 Jan 2026", "15 Jan 2026"),
    ("Europe/Berlin", "2025-07-16T00:30", "16 Jul 2025", "15 Jul 2025"),
    ("Europe/Berlin", "2025-07-15T23:30", "15 Jul 2025", "16 Jul 2025"),
    ("Europe/Berlin", "2026-01-15T23:30", "15 Jan 2026", "16 Jan 2026"),
    ("America/New_York", "2026-01-15T23:30", "15 Jan 2026", "16 Jan 2026"),
    ("America/New_York", "2025-07-15T23:30", "15 Jul 2025", "16 Jul 2025"),
    ("America/New_York", "2025-07-16T00:30", "16 Jul 2025", "15 Jul 2025"),
    ("Pacific/Auckland", "2026-01-16T00:30", "16 Jan 2026", "15 Jan 2026"),
]


@pytest.fixture(params=NIGHTS, ids=lambda n: f"{n[0].partition('/')[2]} {n[1]}")
def night(request: Any, settings: Any) -> Iterator[tuple[datetime, str, str]]:
    """A moment, the day the workshop's people call it, and the one they do not."""
    zone, local, there, other = request.param
    settings.TIME_ZONE = zone
    with timezone.override(zone):
        yield datetime.fromisoformat(local).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC), there, other


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())


def test_every_paper_of_a_job_and_its_logbook(
    outer: Any, crew: Any, night: tuple[datetime, str, str]
) -> None:
    at, there, other = night
    hands = Hands(crew, at)
    job = hands.open(outer)
    hands.do_all(job)
    hands.release(job)
    sheet = queries.job_sheet(job)
    for paper in (
        job_papers.work_card(sheet),
        job_papers.release(sheet),
        hand_back.hand_back(sheet),
        engine_papers.logbook(outer),
    ):
        told = words(paper)
        assert there in told and other not in told
        assert pypdf.PdfReader(io.BytesIO(paper)).metadata.creation_date.day == int(there.split()[0])
    assert local_moment(at) in words(job_papers.work_card(sheet))


def test_the_card_of_a_component(outer: Any, crew: Any, night: tuple[datetime, str, str]) -> None:
    at, there, other = night
    by = {"who": crew.technician, "at": at}
    new = components.NewComponent("propeller", "Two blades", "P-9", 0.0, 0.0)
    components.fit(components.add_component(new, **by), outer, components.ComponentChange(at, **by))
    told = words(engine_papers.component_card(Component.objects.get(serial="P-9")))
    assert there in told and other not in told


def test_an_answer_and_a_refusal_say_the_day_there(
    outer: Any, crew: Any, night: tuple[datetime, str, str]
) -> None:
    at, there, other = night
    hands, by = Hands(crew, at), {"who": crew.technician, "at": at}
    job = hands.open(outer)
    for line in queries.job_sheet(job).steps:
        if line.step.id == "flange-torque":
            actions.take_reading(job, line.step.id, "10", **by)
            actions.mark_done(job, line.step.id, **by)
            actions.second_check(job, line.step.id, who=crew.inspector, at=at, typed="10")
        else:
            hands.do(job, line.step.id)
    (asked,) = queries.job_sheet(job).exceedances
    assert there in asked.said and other not in asked.said
    spot = Spot("flange-torque", WRENCH)
    actions.decide_exceedance(job, spot, "tried again", who=crew.inspector, at=at)
    assert there in queries.job_sheet(job).exceedances[0].answered
    hands.release(job)
    with pytest.raises(VisitError) as refused:
        actions.reopen(job, "look-flange", "again", **by)
    assert f"was released by Tilda Reeve on {local_moment(at)}" in str(refused.value)


def test_a_blank_card_says_up_to_which_day_there(outer: Any, night: tuple[datetime, str, str]) -> None:
    told = words(blank_card.blank_card(outer, "flange-check"))
    since = outer.in_service_on
    for days in (-1, 1):
        wrong = since + timedelta(days=days)
        assert f"{wrong.day} {wrong:%b %Y}" not in told


def test_the_clock_says_its_zone() -> None:
    summer, winter = (datetime(2025, m, 15, 22, 30, tzinfo=UTC) for m in (7, 1))
    with timezone.override("Europe/Berlin"):
        assert (local_day(summer), local_clock(summer)) == ("16 Jul 2025", "00:30 CEST")
        assert local_moment(winter) == "15 Jan 2025, 23:30 CET"
