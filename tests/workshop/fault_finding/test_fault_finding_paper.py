"""The paper of a session: what the owner said, what was looked at, what it may be, how it ended, and the warning."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest

from tickover.workshop.fault_finding import actions, paper, queries
from tickover.workshop.fault_finding.actions import NewSession
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.fault_finding.recording import ending_actions, photo_actions

pytestmark = pytest.mark.usefixtures("verified")

COMPLAINT = "Idle hunts & “surges”,\nsince the cold weekend."


def words_of(session: Session) -> str:
    pages = pypdf.PdfReader(io.BytesIO(paper.session_pdf(queries.session_sheet(session)))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).replace("\u200b", "").split())


@pytest.fixture
def session(outer: Any, crew: Any, now: datetime) -> Session:
    begun = actions.start(outer, NewSession(COMPLAINT, seen=["idle-races"]), who=crew.technician, at=now)
    later = now + timedelta(minutes=4)
    actions.answer(begun, {"bubbles-in-line": "not there"}, who=crew.technician, at=later, words="Clear hose")
    actions.answer(begun, {"oily-wet": "not looked"}, who=crew.technician, at=later)
    return begun


def test_it_says_the_complaint_the_answers_with_their_times_and_what_was_passed_over(
    session: Session,
) -> None:
    told = words_of(session)
    assert "Idle hunts & “surges”, since the cold weekend." in told
    assert "Air bubbles in the fuel line. Clear hose not there 5 May 2025, 09:04 Tilda Reeve" in told
    assert "Oily wet at a crank seal, a case joint or the exhaust flange: not looked" in told


def test_it_warns_that_the_chances_rest_on_guesses(session: Session) -> None:
    told = words_of(session)
    assert "come from a table of estimates" in told and "no authority" in told
    assert "Cause not found yet" in told and "Still open" in told


def test_a_danger_stands_first(session: Session, crew: Any, now: datetime) -> None:
    actions.answer(session, {"propeller-cracked": "seen"}, who=crew.technician, at=now)
    told = words_of(session)
    assert told.index("Stop: Do not run it") < told.index("Complaint")


def test_it_names_photos_and_what_stands_for_one(session: Session, crew: Any, now: datetime) -> None:
    from tickover.workshop.photos import queries as photos

    out = io.BytesIO()
    from PIL import Image

    Image.new("RGB", (30, 20), "red").save(out, "JPEG")
    photo_actions.photograph(session, "lever-height-test", out.getvalue(), who=crew.technician, at=now)
    photo_actions.without_photograph(session, "carburettor-strip", "Too dark", who=crew.technician, at=now)
    (photo,) = photos.photos_of(f"trouble/{session.number}")
    told = words_of(session)
    assert f"Photo {photo.number}: As found" in told and photo.image.sha256[:12] in told
    assert "not photographed. Too dark" in told


def test_it_says_how_it_ended_what_was_ruled_out_and_the_job(
    session: Session, crew: Any, now: datetime
) -> None:
    actions.rule_out(session, "plug-faulty", who=crew.technician, at=now)
    end = ending_actions.confirm(
        session, "intake-leak", seen_at_the_part=True, words="Nut loose", who=crew.technician, at=now
    )
    told = words_of(session)
    titles = queries.session_sheet(session).titles
    assert f"Cause found: {titles['intake-leak']}" in told and "“Nut loose”" in told
    assert titles["plug-faulty"] in told[told.index("Ruled out at the part") :]
    assert f"Visit {end.job.number}: open, 0 of" in told  # type: ignore[union-attr]


def test_it_says_what_the_records_made_likelier(outer: Any, hands: Any, crew: Any, now: datetime) -> None:
    job = hands.open(outer, "flange-check")
    hands.do_all(job)
    hands.release(job)
    begun = now + timedelta(days=2)
    session = actions.start(outer, NewSession(COMPLAINT), who=crew.technician, at=begun)
    weighed = queries.session_sheet(session).weightings
    told = words_of(session)
    assert "More likely from records (common practice, no source)" in told
    counted = [row for row in weighed if row.factor != 1]
    assert counted and all(row.words[:40] in told for row in counted)


def test_the_same_session_gives_the_same_bytes(session: Session) -> None:
    sheet = queries.session_sheet(session)
    assert paper.session_pdf(sheet) == paper.session_pdf(queries.session_sheet(session))
