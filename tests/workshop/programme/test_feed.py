"""The private calendar: who may read it, and that an event moves with its task and is never doubled.

The calendar is read back with `icalendar`, a general library for RFC 5545 that shares nothing with the writer.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
from django.test import Client

from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme import actions, feed, queries
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.programme.models import FeedAddress

pytestmark = pytest.mark.usefixtures("verified")

TODAY = date(2025, 5, 5)


@pytest.fixture
def flown(outer: Any, hours: Callable[..., Any]) -> Any:
    hours(outer, 0.0, date(2025, 1, 1))
    for week in range(12):
        hours(outer, 4.0, date(2025, 1, 5) + timedelta(weeks=week))
    return outer


@pytest.fixture
def made(flown: Any, crew: Any, now: datetime) -> tuple[FeedAddress, str]:
    return actions.make_feed(engine=flown, who=crew.technician, at=now)


def asked(address: FeedAddress, today: date = TODAY) -> dict[str, Any]:
    """What a calendar program sees on a day: summary -> event."""
    now = datetime.combine(today, datetime.min.time(), UTC)
    planned = feed.appointments(address, today)
    sent = actions.remember_dates(planned, at=now)
    found = icalendar.Calendar.from_ical(feed.calendar(address, planned, sent, now))
    return {str(event["summary"]): event for event in found.walk("VEVENT")}


def test_each_task_stands_on_the_middle_of_its_forecast(flown: Any, made: tuple[FeedAddress, str]) -> None:
    events = asked(made[0])
    dated = [d for d in queries.due_lines(flown, TODAY) if not d.task.on_condition]
    lines = {f"Outer: {d.task.title}": d for d in dated}
    assert set(events) == set(lines)
    line, event = (
        lines["Outer: Carburettor diaphragm service"],
        events["Outer: Carburettor diaphragm service"],
    )
    assert event["dtstart"].dt == line.heading.day_50
    assert type(event["dtstart"].dt) is date  # a whole day
    assert line.why in str(event["description"])
    assert line.sentence[1:] in str(event["description"])
    assert str(event["uid"]).endswith("@tickover.invalid")


def test_the_same_event_moves_and_its_sequence_rises(
    flown: Any, made: tuple[FeedAddress, str], hours: Callable[..., Any]
) -> None:
    title = "Outer: Carburettor diaphragm service"
    before, same = asked(made[0])[title], asked(made[0])[title]
    assert (same["sequence"], same["dtstart"].dt) == (before["sequence"], before["dtstart"].dt)
    hours(flown, 30.0, date(2025, 5, 4))
    after = asked(made[0])[title]
    assert after["dtstart"].dt < before["dtstart"].dt
    assert (after["uid"], after["sequence"]) == (before["uid"], before["sequence"] + 1)


def test_what_is_due_stands_still_on_the_day_it_became_so(
    flown: Any, made: tuple[FeedAddress, str], hours: Callable[..., Any]
) -> None:
    hours(flown, 60.0, date(2025, 5, 2))
    title = "Outer: Carburettor diaphragm service"
    first, later = asked(made[0])[title], asked(made[0], date(2025, 5, 20))[title]
    assert first["dtstart"].dt == later["dtstart"].dt == date(2025, 5, 2)
    assert first["sequence"] == later["sequence"] == 0


def test_an_owners_calendar_has_all_of_his_engines(flown: Any, inner: Any, crew: Any, now: datetime) -> None:
    address, _ = actions.make_feed(owner=flown.owner, who=crew.technician, at=now)
    assert {title.split(":")[0] for title in asked(address)} == {"Outer"}
    inner.owner = flown.owner
    inner.save()
    assert {title.split(":")[0] for title in asked(address)} == {"Outer", "Inner"}
    inner.owner = inner.owner.__class__.objects.get(name="Owner of Inner")
    inner.save()


def test_two_addresses_tell_the_same_events(
    flown: Any, made: tuple[FeedAddress, str], crew: Any, now: datetime
) -> None:
    other, _ = actions.make_feed(owner=flown.owner, who=crew.technician, at=now)
    events = [{str(e["uid"]) for e in asked(address).values()} for address in (made[0], other)]
    assert events[0] == events[1]


def test_it_is_read_without_signing_in_by_who_knows_the_address(
    client: Client, flown: Any, made: tuple[FeedAddress, str]
) -> None:
    answer = client.get(f"/feed/{made[1]}.ics")
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert "private" in answer["Cache-Control"] and answer["X-Robots-Tag"] == "noindex"
    dated = [d for d in queries.due_lines(flown, TODAY) if not d.task.on_condition]
    assert len(icalendar.Calendar.from_ical(answer.content).walk("VEVENT")) == len(dated)
    assert client.post(f"/feed/{made[1]}.ics").status_code == 405


@pytest.mark.parametrize("guess", ["x", "A" * 43, "%C3%A9", "..%2F.."])
def test_a_guess_finds_nothing(client: Client, made: tuple[FeedAddress, str], guess: str) -> None:
    assert client.get(f"/feed/{guess}.ics").status_code == 404


def test_a_withdrawn_address_finds_nothing(
    client: Client, made: tuple[FeedAddress, str], crew: Any, now: datetime
) -> None:
    actions.withdraw_feed(made[0], who=crew.technician, at=now)
    assert client.get(f"/feed/{made[1]}.ics").status_code == 404
    with pytest.raises(ProgrammeError, match="withdrawn already"):
        actions.withdraw_feed(made[0], who=crew.technician, at=now)


def test_the_secret_is_kept_nowhere(made: tuple[FeedAddress, str]) -> None:
    assert made[0].token_sha256 == feed.digest(made[1])
    assert not any(made[1] in entry.body for entry in Entry.objects.all())


def test_an_address_is_made_and_withdrawn_on_the_engines_page(
    flown: Any, crew: Any, client: Client, signed_in: Callable[..., Client]
) -> None:
    technician = signed_in(crew.technician)
    page = technician.post("/engines/1200/feed/make/", {"for": "owner"}).content.decode()
    secret = re.search(r"/feed/([\w-]+)\.ics", page).group(1)
    assert client.get(f"/feed/{secret}.ics").status_code == 200
    assert secret not in technician.get("/engines/1200/feed/").content.decode()
    kept = FeedAddress.objects.get()
    technician.post(f"/engines/1200/feed/{kept.entry_sequence}/withdraw/")
    assert client.get(f"/feed/{secret}.ics").status_code == 404
    assert "withdrawn by Tilda Reeve" in technician.get("/engines/1200/feed/").content.decode()


def test_an_address_of_another_engine_is_not_withdrawn_here(
    made: tuple[FeedAddress, str], inner: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    address = f"/engines/1600/feed/{made[0].entry_sequence}/withdraw/"
    assert signed_in(crew.technician).post(address).status_code == 404
