"""Bulletins: for which engine they are, when they are due, what was recorded about them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme import bulletins
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.programme.bulletin_actions import (
    BulletinWords,
    Compliance,
    add_bulletin,
    record_bulletin,
    revise_bulletin,
)
from tickover.workshop.programme.bulletins import Applies, BulletinLine
from tickover.workshop.programme.models import Bulletin, BulletinDone

pytestmark = pytest.mark.usefixtures("verified")

ISSUED = date(2025, 3, 1)
TODAY = date(2025, 5, 5)
Keep = Callable[..., Bulletin]


@pytest.fixture
def words(sheet: Any) -> BulletinWords:
    return BulletinWords(
        identifier="AO-2025-3",
        issued_by="An invented air office",
        title="Insulator",
        sheet_id=sheet.sheet_id,
        issued_on=ISSUED,
        method="Look at the insulator with a 10x lens.",
        mandatory=True,
        within_h=10.0,
        due_on=date(2025, 9, 1),
    )


@pytest.fixture
def keep(words: BulletinWords, crew: Any, now: datetime) -> Keep:
    return lambda **more: add_bulletin(replace(words, **more), who=crew.manager, at=now)


@pytest.fixture
def record(crew: Any, now: datetime) -> Callable[..., BulletinDone]:
    def record(bulletin: Any, engine: Any, outcome: str, words: str, on: date = TODAY) -> BulletinDone:
        given = Compliance(outcome, on, words)
        return record_bulletin(bulletin, engine, given, who=crew.technician, at=now)

    return record


def line(engine: Any, today: date = TODAY) -> BulletinLine:
    return bulletins.lines([engine], today)[0]


@pytest.mark.parametrize(
    ("first", "last", "builds", "applies"),
    [
        (None, None, (), Applies.YES),
        (1100, 1300, (), Applies.YES),
        (1200, 1200, (), Applies.YES),
        (1201, None, (), Applies.NO),
        (None, 1199, (), Applies.NO),
        (None, None, ("external-pulse",), Applies.YES),
        (1100, 1300, ("internal-pulse",), Applies.NO),
    ],
)
def test_it_is_for_engines_of_its_builds_and_serials(
    outer: Any, keep: Keep, first: int | None, last: int | None, builds: tuple[str, ...], applies: Applies
) -> None:
    keep(serial_from=first, serial_to=last, builds=builds)
    found = line(outer)
    assert found.applies is applies
    assert found.open is (applies is Applies.YES)
    if not found.open:
        assert found.sentence.startswith("does not apply: ")


def test_an_engine_whose_serial_is_no_number_is_to_be_looked_into(outer: Any, keep: Keep) -> None:
    keep(serial_from=1000)
    outer.serial = "12-00/B"
    found = line(outer)
    assert found.applies is Applies.CANNOT_TELL and found.open
    assert "find out whether it applies" in found.sentence


def test_a_bulletin_for_another_type_is_not_on_the_engines_list(outer: Any, keep: Keep) -> None:
    kept = keep()
    kept.sheet_id = "another-type"
    assert bulletins.applies_to(kept, outer) == (Applies.NO, "it is for another type")


def test_the_hours_count_from_the_day_it_was_issued(
    outer: Any, keep: Keep, hours: Callable[..., Any]
) -> None:
    hours(outer, 40.0, date(2025, 2, 1))
    hours(outer, 3.0, date(2025, 4, 1))
    keep()
    found = line(outer)
    assert (found.due.due_h, found.now_h) == (50.0, 43.0)
    assert (
        found.sentence == "due at 50.0 h (7.0 h left) or by 1 Sep 2025 (4 months left), whichever comes first"
    )


@pytest.mark.parametrize(
    ("run_h", "today", "state"),
    [(2.0, TODAY, "not yet"), (9.5, TODAY, "due soon"), (10.0, TODAY, "due"), (10.5, TODAY, "over tolerance"),
     (0.0, date(2025, 9, 1), "due"), (0.0, date(2025, 9, 2), "over tolerance")],
)  # fmt: skip
def test_a_bulletin_has_no_tolerance(
    outer: Any, keep: Keep, hours: Callable[..., Any], run_h: float, today: date, state: str
) -> None:
    hours(outer, run_h, date(2025, 4, 1))
    keep()
    assert line(outer, today).state == state


def test_done_once_it_is_closed_with_the_method_used(outer: Any, keep: Keep, record: Any) -> None:
    done = record(keep(), outer, "done", "lens, no crack")
    found = line(outer)
    assert (found.open, found.last) == (False, done)
    assert found.sentence == "done on 5 May 2025 at 0.0 h: lens, no crack"
    assert Entry.objects.latest("sequence").kind == "bulletin done"


def test_a_recurring_one_comes_again_from_where_it_was_done(
    outer: Any, keep: Keep, record: Any, hours: Callable[..., Any]
) -> None:
    hours(outer, 8.0, date(2025, 4, 1))
    record(keep(every_h=50.0, every_months=6), outer, "done", "lens", on=date(2025, 4, 10))
    found = line(outer)
    assert (found.due.due_h, date.fromordinal(found.due.due_day)) == (58.0, date(2025, 10, 10))


# AMC1 ML.A.305 (c): "If the AD is generally applicable ... but is not applicable to the particular ... engine
# ... then this should be identified as well as the reason why".
def test_not_applicable_is_recorded_with_its_reason(outer: Any, keep: Keep, record: Any) -> None:
    kept = keep()
    with pytest.raises(ProgrammeError, match="Type the reason"):
        record(kept, outer, "not applicable", "  ")
    record(kept, outer, "not applicable", "the flange was changed for the later pattern")
    assert line(outer).sentence == (
        "not applicable, recorded on 5 May 2025: the flange was changed for the later pattern"
    )


def test_an_owner_may_leave_undone_only_what_is_not_mandatory(outer: Any, keep: Keep, record: Any) -> None:
    with pytest.raises(ProgrammeError, match="mandatory"):
        record(keep(), outer, "not wanted", "too dear")
    record(keep(identifier="SB-9", mandatory=False), outer, "not wanted", "waits for the overhaul")
    assert [found.bulletin.identifier for found in bulletins.lines([outer], TODAY) if found.open] == [
        "AO-2025-3"
    ]


def test_a_mistaken_record_opens_it_again_and_both_stay(outer: Any, keep: Keep, record: Any) -> None:
    kept = keep()
    record(kept, outer, "done", "on the wrong engine")
    record(kept, outer, "open again", "it was the other engine")
    assert line(outer).open
    assert len(bulletins.history(outer)) == 2


def test_a_revision_keeps_what_was_recorded(
    outer: Any, keep: Keep, record: Any, words: BulletinWords, crew: Any, now: datetime
) -> None:
    kept = keep()
    record(kept, outer, "done", "lens")
    newer = revise_bulletin(kept, replace(words, title="Insulator, again"), who=crew.manager, at=now)
    found = line(outer)
    assert (found.bulletin, found.open) == (newer, False)
    with pytest.raises(ProgrammeError, match="revised already"):
        revise_bulletin(kept, words, who=crew.manager, at=now)
    with pytest.raises(ProgrammeError, match="keeps its identifier"):
        revise_bulletin(newer, replace(words, identifier="X"), who=crew.manager, at=now)


def test_a_cancelled_one_asks_for_nothing(
    outer: Any, keep: Keep, words: BulletinWords, crew: Any, now: datetime
) -> None:
    revise_bulletin(keep(), replace(words, cancelled_because="AO-2025-9"), who=crew.manager, at=now)
    assert bulletins.lines([outer], TODAY) == []
    assert [b.cancelled_because for b in bulletins.cancelled()] == ["AO-2025-9"]


REFUSED = {
    "another type": ({"sheet_id": "no-such"}, "no type sheet called 'no-such'"),
    "no such build": ({"builds": ("no-such",)}, "no build 'no-such'"),
    "serials crossed": ({"serial_from": 9, "serial_to": 8}, "above the last"),
    "due before issue": ({"due_on": ISSUED - timedelta(days=1)}, "before it was issued"),
}


@pytest.mark.parametrize(("more", "says"), REFUSED.values(), ids=list(REFUSED))
def test_what_cannot_be_is_refused_and_nothing_kept(keep: Keep, more: dict[str, Any], says: str) -> None:
    before = Entry.objects.count()
    with pytest.raises(ProgrammeError, match=says):
        keep(**more)
    assert Entry.objects.count() == before


def test_the_same_identifier_is_kept_once(keep: Keep) -> None:
    keep()
    with pytest.raises(ProgrammeError, match="is already here"):
        keep()


def test_a_day_to_come_is_refused(outer: Any, keep: Keep, record: Any) -> None:
    with pytest.raises(ProgrammeError, match="still to come"):
        record(keep(), outer, "done", "lens", on=date(2025, 5, 6))


FORM = {
    "identifier": "AO-1", "issued_by": "An office", "title": "Lever", "issued_on": "2025-04-01",
    "mandatory": "on", "within_h": "10", "every_months": "12", "method": "Measure the lever.",
    "builds": ["external-pulse"], "serial_from": "1000", "serial_to": "1300",
}  # fmt: skip


def test_a_manager_adds_one_and_a_technician_records_it(
    outer: Any, sheet: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    form = {**FORM, "sheet_id": sheet.sheet_id}
    assert signed_in(crew.technician).post("/bulletins/add/", form).status_code == 403
    manager, technician = signed_in(crew.manager), signed_in(crew.technician)
    added = manager.post("/bulletins/add/", form)
    kept = Bulletin.objects.get()
    assert added["Location"] == f"/bulletins/{kept.entry_sequence}/"
    assert "Lever" in technician.get("/bulletins/").content.decode()
    assert "An office" in technician.get("/engines/1200/bulletins/").content.decode()
    address = f"/engines/1200/bulletins/{kept.entry_sequence}/record/"
    technician.post(address, {"outcome": "done", "done_on": "2025-05-01", "words": "gauge, 0.3 mm"})
    assert "gauge, 0.3 mm" in technician.get("/engines/1200/bulletins/").content.decode()
    edit = manager.get(f"/bulletins/{kept.entry_sequence}/edit/").content.decode()
    assert 'value="AO-1"' in edit and "checked" in edit
    manager.post(f"/bulletins/{kept.entry_sequence}/revise/", {**form, "title": "Lever height"})
    assert "Revised." in technician.get(f"/bulletins/{kept.entry_sequence}/").content.decode()


def test_a_form_with_a_slip_comes_back_as_it_was_typed(
    sheet: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    form = {**FORM, "sheet_id": sheet.sheet_id, "serial_from": "1400"}
    answer = signed_in(crew.manager).post("/bulletins/add/", form)
    page = answer.content.decode()
    assert answer.status_code == 422 and "above the last" in page and 'value="1400"' in page
    assert not Bulletin.objects.exists()


def test_what_is_due_stands_on_today(
    outer: Any, keep: Keep, crew: Any, signed_in: Callable[..., Client]
) -> None:
    keep()  # by 1 September 2025, and today is later
    page = signed_in(crew.technician).get("/").content.decode()
    assert "AO-2025-3" in page and "1 bulletin to do" in page
