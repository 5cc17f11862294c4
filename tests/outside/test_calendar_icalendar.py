"""Calendars held against the library icalendar (github.com/collective/icalendar): it reads what we wrote."""

from __future__ import annotations

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from tickover.formats.calendar import Event, stable_uid, write_calendar

STAMP = dt.datetime(2025, 5, 1, 12, 0, tzinfo=dt.UTC)
# What RFC 5545 allows in a TEXT: no controls but the tab; line ends all become one kind.
TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], include_characters='\n\t\\;,:"'),
    max_size=200,
)


def read(events: list[Event]) -> Calendar:
    return Calendar.from_ical(write_calendar(events, name="Due", stamp=STAMP))


def test_each_property_of_an_event_is_read_back() -> None:
    changed = dt.datetime(2025, 4, 1, 9, 30, tzinfo=dt.UTC)
    uid = stable_uid("1200", "plugs")
    event = Event(uid, dt.date(2025, 6, 30), "Plugs; gap, seat", "Line 1\nLine 2 " + "ö" * 80, 3, changed, 14)
    calendar = read([event])
    (found,) = calendar.walk("VEVENT")
    (alarm,) = found.walk("VALARM")
    assert (str(calendar["VERSION"]), str(calendar["NAME"])) == ("2.0", "Due")
    assert (str(found["UID"]), found["DTSTAMP"].dt, found["LAST-MODIFIED"].dt) == (uid, STAMP, changed)
    assert (found["DTSTART"].dt, int(found["SEQUENCE"])) == (event.day, 3)
    assert (str(found["SUMMARY"]), str(found["DESCRIPTION"])) == (event.summary, event.description)
    assert (str(alarm["ACTION"]), alarm["TRIGGER"].dt) == ("DISPLAY", dt.timedelta(days=-14))
    assert found.errors == [] and calendar.errors == []


@given(st.lists(st.tuples(TEXTS, TEXTS, st.dates()), max_size=4))
def test_any_text_is_read_back(told: list[tuple[str, str, dt.date]]) -> None:
    events = [Event(str(n), day, summary, text) for n, (summary, text, day) in enumerate(told)]
    found = read(events).walk("VEVENT")
    assert [str(e["SUMMARY"]) for e in found] == [e.summary for e in events]
    assert [str(e.get("DESCRIPTION", "")) for e in found] == [e.description for e in events]
    assert [e["DTSTART"].dt for e in found] == [e.day for e in events]
