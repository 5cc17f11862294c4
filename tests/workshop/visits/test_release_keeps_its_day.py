"""A release keeps the name, the authority and the rules of its day, and its paper prints them again so."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest
from django.db import connection

from tickover.workshop.audit.verify import verify
from tickover.workshop.kernel import queries as journal
from tickover.workshop.logbook import hand_back, job_papers
from tickover.workshop.people import actions
from tickover.workshop.people.actions import PeopleError
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.models import Release


@pytest.fixture
def released(outer: Any, hands: Any) -> Release:
    job = hands.open(outer)
    hands.do_all(job)
    done: Release = hands.release(job)
    return done


def words(data: bytes) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def printed(release: Release) -> str:
    sheet = queries.job_sheet_by_number(release.job.number)
    assert sheet is not None
    return words(job_papers.release(sheet))


def sql(statement: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_it_holds_who_signed_and_by_which_rules(released: Release) -> None:
    assert released.authority == "T-1"
    assert released.signed == {
        "name": "Tilda Reeve",
        "role": "technician",
        "workshop": "Test Bench",
        "place": "",
        "works_alone": False,
        "second_look_minutes": 10,
    }


def test_it_prints_the_names_of_its_day_after_people_and_workshop_changed(
    released: Release, crew: Any, now: datetime
) -> None:
    before, later = printed(released), now + timedelta(days=90)
    assert "Tilda Reeve" in before and "Ingo Halm" in before and "Test Bench" in before
    actions.change_person(crew.technician, {"last_name": "Marsh"}, "married", actor="maud", at=later)
    actions.change_person(crew.inspector, {"first_name": "Inga"}, "misspelt", actor="maud", at=later)
    actions.change_workshop({"name": "Other Bench"}, "sold", actor="maud", at=later)
    assert printed(released) == before
    sheet = queries.job_sheet_by_number(released.job.number)
    assert sheet is not None and "by Tilda Reeve, release" in words(hand_back.hand_back(sheet))
    assert verify().faults == ()


def test_what_sql_changes_is_not_printed_and_is_named(released: Release, crew: Any) -> None:
    before = printed(released)
    sql(
        "UPDATE people_person SET last_name = 'Nobody', role = 'manager', authority = 'All' WHERE username = 'tilda'"
    )
    sql("UPDATE people_person SET first_name = 'Eve' WHERE username = 'ingo'")
    sql("UPDATE people_workshop SET name = 'Elsewhere', works_alone = %s, second_look_minutes = 0", True)
    assert printed(released) == before
    faults = verify().faults
    assert [f[f.index("(") :] for f in faults] == [
        f"(person {crew.technician.pk}): the record differs from its entry (authority, last_name, role). "
        "It was changed after it was written.",
        f"(person {crew.inspector.pk}): the record differs from its entry (first_name). "
        "It was changed after it was written.",
        "(workshop 1): the record differs from its entry (name, second_look_minutes, works_alone). "
        "It was changed after it was written.",
    ]


def test_one_from_before_it_held_them_prints_the_name_that_the_journal_has(
    released: Release, crew: Any
) -> None:
    Release.objects.update(signed={})
    sql("UPDATE people_person SET last_name = 'Nobody' WHERE username = 'tilda'")
    assert "Tilda Reeve" in printed(released) and "Nobody" not in printed(released)


def test_the_rule_of_a_second_look_is_on_the_paper(outer: Any, hands: Any, crew: Any, now: datetime) -> None:
    from tickover.workshop.visits import actions as visit_actions

    actions.change_workshop({"works_alone": True, "second_look_minutes": 12}, "alone", actor="maud", at=now)
    job = hands.open(outer)
    for line in queries.job_sheet(job).steps:
        hands.do(job, line.step.id, checked=False)
        if line.step.second_check:
            later = now + timedelta(minutes=13)
            visit_actions.second_check(job, line.step.id, typed="10", who=crew.technician, at=later)
    release = hands.release(job, at=now + timedelta(hours=1))
    actions.change_workshop({"works_alone": False}, "two again", actor="maud", at=now + timedelta(days=1))
    assert "at least 12 minutes after the step" in printed(release).replace("\n", " ")


def test_a_change_is_an_entry_with_what_was_and_why(crew: Any, shop: Any, now: datetime) -> None:
    actions.change_person(crew.technician, {"authority": "T-2"}, "renewed", actor="maud", at=now)
    (line, *_) = journal.about("person/tilda")
    assert (line.kind, line.actor, line.body["why"]) == ("person changed", "maud", "renewed")
    assert (line.body["was"], line.body["facts"]["authority"]) == ({"authority": "T-1"}, "T-2")
    actions.change_workshop({"works_alone": True}, "alone", actor="maud", at=now)
    (line, *_) = journal.about("workshop")
    assert (line.kind, line.body["facts"]["works_alone"]) == ("workshop changed", True)
    assert verify().faults == ()


def test_a_change_that_cannot_be_is_refused(crew: Any, shop: Any, now: datetime) -> None:
    by = {"actor": "maud", "at": now}
    for to, why, says in (
        ({}, "so", "Nothing about Tilda Reeve was given"),
        ({"authority": "T-2"}, " ", "why"),
        ({"role": "pilot"}, "so", "There is no role pilot"),
    ):
        with pytest.raises(PeopleError, match=says):
            actions.change_person(crew.technician, to, why, **by)
    for minutes in (0, 1441):
        with pytest.raises(PeopleError, match="after 1 to 1440 minutes"):
            actions.change_workshop({"second_look_minutes": minutes}, "so", **by)
    for minutes in (1, 1440):
        actions.change_workshop({"second_look_minutes": minutes}, "so", **by)
    with pytest.raises(LookupError):
        actions.change_person(crew.technician, {"username": "till"}, "so", **by)
    assert Person.objects.get(username="tilda").authority == "T-1"


def test_an_edit_does_not_cover_what_sql_changed(crew: Any, shop: Any, now: datetime) -> None:
    sql("UPDATE people_person SET authority = 'All engines' WHERE username = 'tilda'")
    by = {"actor": "maud", "at": now}
    with pytest.raises(PeopleError, match="changed outside tickover: authority"):
        actions.change_person(crew.technician, {"last_name": "Marsh"}, "married", **by)
    assert len(verify().faults) == 1
    actions.change_person(crew.technician, {"last_name": "Marsh", "authority": "T-1"}, "put right", **by)
    assert verify().faults == ()
