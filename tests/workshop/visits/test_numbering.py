"""Numbers over New Year: one series for each kind and year of the workshop's time zone, without gaps."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tickover.workshop.defects import actions as defects
from tickover.workshop.fault_finding import actions as fault_finding_actions
from tickover.workshop.visits import actions as visit_actions

pytestmark = pytest.mark.usefixtures("verified")

MIDNIGHT = {
    "Pacific/Honolulu": datetime(2027, 1, 1, 10, tzinfo=UTC),
    "UTC": datetime(2027, 1, 1, 0, tzinfo=UTC),
    "Pacific/Auckland": datetime(2026, 12, 31, 11, tzinfo=UTC),
}
"""When the year 2027 begins, by the time zone database."""

Open = Callable[[datetime], str]
HOUR = timedelta(hours=1)


@pytest.fixture(params=MIDNIGHT)
def new_year(request: Any, settings: Any) -> Iterator[datetime]:
    """The first moment of 2027 where the workshop is."""
    settings.TIME_ZONE = request.param
    with timezone.override(request.param):
        yield MIDNIGHT[request.param]


def _job(outer: Any, crew: Any) -> Open:
    def number(at: datetime) -> str:
        job = visit_actions.open_job(outer, "flange-check", who=crew.technician, at=at)
        visit_actions.close_without_release(job, "not wanted", who=crew.technician, at=at)
        return str(job.number)

    return number


def _defect(outer: Any, crew: Any) -> Open:
    def number(at: datetime) -> str:
        new = defects.NewDefect(f"Scratch, seen {at}", "cosmetic", until_on=date(2027, 5, 1))
        row = defects.defer(outer, new, accepted_by=crew.inspector, who=crew.technician, at=at)
        return str(row.number)

    return number


def _session(outer: Any, crew: Any) -> Open:
    def number(at: datetime) -> str:
        new = fault_finding_actions.NewSession(f"It will not start, {at}")
        return str(fault_finding_actions.start(outer, new, who=crew.technician, at=at).number)

    return number


KINDS = {"": _job, "D-": _defect, " ": _session}


@pytest.mark.parametrize("prefix", KINDS)
def test_each_year_begins_at_one_and_leaves_no_gap(
    new_year: datetime, prefix: str, outer: Any, crew: Any
) -> None:
    opened = KINDS[prefix](outer, crew)
    moments = [new_year + hours * HOUR for hours in (-30, -14, -1, 0, 1, 13, 30)]
    assert [opened(at).removeprefix(prefix.strip()) for at in moments] == [
        *("2026-0001", "2026-0002", "2026-0003"),
        *("2027-0001", "2027-0002", "2027-0003", "2027-0004"),
    ]


@pytest.mark.parametrize("prefix", KINDS)
def test_a_book_numbered_by_another_year_goes_on_with_the_next_free_number(
    new_year: datetime, prefix: str, outer: Any, crew: Any, monkeypatch: Any
) -> None:
    opened, begin = KINDS[prefix](outer, crew), prefix.strip()
    for module in (visit_actions, defects, fault_finding_actions):
        monkeypatch.setattr(module, "next_number", lambda *_, **__: f"{begin}2027-0001")
    assert opened(new_year - HOUR) == f"{begin}2027-0001"
    monkeypatch.undo()
    assert opened(new_year - HOUR) == f"{begin}2026-0001"
    assert opened(new_year + HOUR) == f"{begin}2027-0002"
    assert opened(new_year + 2 * HOUR) == f"{begin}2027-0003"


def test_after_9999_the_numbers_go_on(outer: Any, crew: Any, now: datetime, monkeypatch: Any) -> None:
    opened = _job(outer, crew)
    for number in ("2025-9999", "2025-10000"):
        monkeypatch.setattr(visit_actions, "next_number", lambda *_, given=number: given)
        opened(now)
    monkeypatch.undo()
    assert opened(now) == "2025-10001"
