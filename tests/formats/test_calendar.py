"""The calendar that others subscribe to, held against the rules of RFC 5545 by hand."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats.calendar import Event, stable_uid, write_calendar
from tickover.formats.errors import FormatError

STAMP = dt.datetime(2025, 5, 1, 12, 0, tzinfo=dt.UTC)
DAY = dt.date(2025, 6, 30)


def written(*events: Event, name: str = "Due") -> bytes:
    return write_calendar(events, name=name, stamp=STAMP)


def test_a_calendar_reads_line_by_line_as_the_standard_has_it() -> None:
    # RFC 5545: 3.6 (VERSION, PRODID), 3.6.1 (UID, DTSTAMP once each), 3.3.4 (DATE), 3.3.5 (UTC: form 2).
    event = Event("u-1", DAY, "Plugs", "Gap, and seat.", 2, dt.datetime(2025, 4, 1, 9, 30, tzinfo=dt.UTC))
    assert written(event).decode() == "\r\n".join(
        [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//tickover//tickover//EN",
            "CALSCALE:GREGORIAN",
            "NAME:Due",
            "BEGIN:VEVENT",
            "UID:u-1",
            "DTSTAMP:20250501T120000Z",
            "DTSTART;VALUE=DATE:20250630",
            "SUMMARY:Plugs",
            "DESCRIPTION:Gap\\, and seat.",
            "SEQUENCE:2",
            "LAST-MODIFIED:20250401T093000Z",
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
            "END:VCALENDAR",
            "",
        ]
    )


def test_an_alarm_is_shown_days_before() -> None:
    # RFC 5545, 3.6.6: a DISPLAY alarm has ACTION, DESCRIPTION and TRIGGER; 3.3.6: a duration of days.
    alarm = [
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "DESCRIPTION:Plugs",
        "TRIGGER:-P14D",
        "END:VALARM",
        "END:VEVENT",
    ]
    assert "\r\n".join(alarm).encode() in written(Event("u", DAY, "Plugs", alarm_days=14))
    assert b"TRIGGER:P0D" in written(Event("u", DAY, "Plugs", alarm_days=0))


def test_the_standard_s_own_example_of_escapes() -> None:
    # RFC 5545, 3.3.11, the example of a TEXT with commas, semicolons and line breaks.
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    line = b"SUMMARY:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.\r\n"
    assert line in written(Event("u", DAY, text)).replace(b"\r\n ", b"")


@pytest.mark.parametrize(
    ("text", "escaped"),
    [
        ("a\\b", "a\\\\b"),
        ("a;b", "a\\;b"),
        ("a,b", "a\\,b"),
        ("a\nb", "a\\nb"),
        ("a\r\nb", "a\\nb"),
        ("a\rb", "a\\nb"),
        ("a\\nb", "a\\\\nb"),
        ("a:b \"c\"", "a:b \"c\""),
        ("a\x00\x07b\x7f", "ab"),
        ("a\tb", "a\tb"),
        ("a\ud800b", "a\ufffdb"),
    ],
)  # fmt: skip
def test_text_is_escaped(text: str, escaped: str) -> None:
    assert f"SUMMARY:{escaped}\r\n".encode() in written(Event("u", DAY, text))


def test_nothing_typed_can_begin_a_line_of_its_own() -> None:
    assert b"\r\nBEGIN:VALARM" not in written(
        Event("u", DAY, "x\r\nBEGIN:VALARM\nEND:VEVENT"), name="a\r\nX:1"
    )


def summary_lines(text: str) -> list[bytes]:
    """The lines of the summary, as they are folded."""
    whole = written(Event("u", DAY, text))
    return whole[whole.index(b"SUMMARY:") : whole.index(b"\r\nSEQUENCE")].split(b"\r\n")


@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="\\;,"), max_size=400
    )
)
def test_folds_are_short_whole_and_undone_by_taking_them_out(text: str) -> None:
    # RFC 5545, 3.1: no line longer than 75 octets without its break; a fold is CRLF and one blank, which counts.
    parts = summary_lines(text)
    for part in parts:
        assert len(part) <= 75
        part.decode("utf-8")
    assert b"\r\n".join(parts).replace(b"\r\n ", b"").decode() == f"SUMMARY:{text}"


def test_the_same_names_give_the_same_uid_for_ever() -> None:
    assert stable_uid("1200", "plugs") == stable_uid("1200", "plugs")
    assert len({stable_uid("1200", "plugs"), stable_uid("1200p", "lugs"), stable_uid("1200\nplugs")}) == 3
    # Written down once: subscribers would see every event twice if it ever changed.
    assert stable_uid("1200", "plugs") == "af6d1907-7d23-5e9e-b214-52af84eadf82"


def test_the_year_has_four_digits() -> None:
    assert b"DTSTART;VALUE=DATE:09990101\r\n" in written(Event("u", dt.date(999, 1, 1), "old"))


def test_times_are_told_in_utc() -> None:
    zone = dt.timezone(dt.timedelta(hours=2))
    event = Event("u", DAY, "Plugs", last_modified=dt.datetime(2025, 4, 1, 1, 30, tzinfo=zone))
    assert b"LAST-MODIFIED:20250331T233000Z" in written(event)


@pytest.mark.parametrize(
    ("events", "says"),
    [
        ([Event("", DAY, "a")], "is empty or there twice"),
        ([Event("u", DAY, "a"), Event("u", DAY, "b")], 'The UID "u" of "b" is empty or there twice'),
        ([Event("u", DAY, "a", sequence=-1)], "below zero"),
        ([Event("u", DAY, "a", alarm_days=-1)], "below zero"),
        ([Event("u", DAY, "a", last_modified=dt.datetime(2025, 4, 1))], "has no zone"),
    ],
)
def test_what_no_calendar_may_hold_is_refused(events: list[Event], says: str) -> None:
    with pytest.raises(FormatError, match=says):
        written(*events)
