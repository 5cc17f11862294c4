"""Writes about the photograph that comes before a look which takes its evidence away."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.fault_finding.locking import (
    FaultFindingError,
    known_look,
    lock_open_session,
    subject,
    write_answer,
)
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.photos import actions as photos
from tickover.workshop.photos.models import Photo

About, State = Answer.About, Answer.State


def photograph(session: Session, item: str, data: bytes, *, who: Person, at: datetime) -> Answer:
    """Keep a photo of things as found, and note that it stands before this look.

    The photo is kept first and by itself: where the note is refused, the picture is not lost.
    """
    title = _open_look(session, item)
    try:
        photo = photos.add_photo(subject(session), data, f"As found, before: {title}"[:300], who=who, at=at)
    except photos.PhotoError as error:
        raise FaultFindingError(str(error)) from error
    return note_photograph(session, item, photo, who=who, at=at)


@journal.locked()
def note_photograph(session: Session, item: str, photo: Photo, *, who: Person, at: datetime) -> Answer:
    """Note which photo of the session shows things as found, before a look that takes the evidence away."""
    sheet = lock_open_session(session)
    known_look(sheet, item)
    if photo.number not in sheet.photos:
        raise FaultFindingError(
            f"Photo {photo.number} is none of this trouble, or it was withdrawn. Nothing was changed."
        )
    rests_on = f"photo/{photo.number}"
    return write_answer(session, About.PHOTOGRAPH, item, State.TAKEN, who, at, photo.note, rests_on)


@journal.locked()
def photographed_elsewhere(session: Session, item: str, where: str, *, who: Person, at: datetime) -> Answer:
    """Note that the photograph is kept elsewhere: where, and by whom."""
    return _in_words(session, item, State.ELSEWHERE, where, "Type where it is kept and who has it.", who, at)


@journal.locked()
def without_photograph(session: Session, item: str, why: str, *, who: Person, at: datetime) -> Answer:
    """Go on without one, and say why not."""
    return _in_words(session, item, State.WITHOUT, why, "Type why there is no photo.", who, at)


def _in_words(
    session: Session, item: str, state: str, words: str, ask: str, who: Person, at: datetime
) -> Answer:
    known_look(lock_open_session(session), item)
    if not words.strip():
        raise FaultFindingError(f"{ask} Nothing was changed.")
    return write_answer(session, About.PHOTOGRAPH, item, state, who, at, words)


@journal.locked()
def _open_look(session: Session, item: str) -> str:
    """Title of the look, asked before a picture is unpacked. Raises where it ended or has no such look."""
    sheet = lock_open_session(session)
    known_look(sheet, item)
    return sheet.titles[item]
