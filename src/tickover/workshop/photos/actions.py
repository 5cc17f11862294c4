"""Writes of photos: add one to a subject, and withdraw it with a reason."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.people.models import Person
from tickover.workshop.photos import queries, subjects
from tickover.workshop.photos.models import Photo, PhotoWithdrawn
from tickover.workshop.photos.opening import PhotoError, open_picture
from tickover.workshop.register import actions as register

__all__ = ["PhotoError", "add_photo", "withdraw"]


def add_photo(subject: str, data: bytes, note: str = "", *, who: Person, at: datetime) -> Photo:
    """Keep a photo of a subject. The same picture of the same subject is kept once.

    Raises PhotoError where it cannot be read, is too large, or the subject is none a photo can be of.
    """
    if subjects.page_of(subject) is None:
        raise PhotoError(f"“{subject}” is nothing that a photo can be of. Nothing was saved.")
    # Unpacking takes its time, and nobody waits for it with the book held.
    picture = open_picture(data)
    kind, _, key = subject.partition("/")
    with journal.locked():
        image = register.keep_evidence(picture.image, "photo.jpg", who=who, at=at)
        small = register.keep_evidence(picture.thumbnail, "photo, small.jpg", who=who, at=at)
        if kept := queries.same_photo(kind, key, image):
            raise PhotoError(
                f"This photo is here already, added by {kept.by} on {local_day(kept.at)}. Nothing was added."
            )
        row = Photo(
            subject_kind=kind,
            subject_key=key,
            image=image,
            thumbnail=small,
            width=picture.width,
            height=picture.height,
            note=note.strip()[:300],
            by=who,
            at=at,
        )
        journal.record(row, "photo added", _journal_subject(subject), actor=who.username, at=at)
    return row


@journal.locked()
def withdraw(photo: Photo, reason: str, *, who: Person, at: datetime) -> PhotoWithdrawn:
    """Take a photo out of view, with the reason. Its file and its row stay."""
    if PhotoWithdrawn.objects.filter(photo=photo).exists():
        raise PhotoError("This photo is withdrawn already. Nothing was changed.")
    if not reason.strip():
        raise PhotoError("Type why the photo is withdrawn. Nothing was changed.")
    row = PhotoWithdrawn(photo=photo, reason=reason.strip()[:300], by=who, at=at)
    journal.record(row, "photo withdrawn", _journal_subject(photo.subject), actor=who.username, at=at)
    return row


def _journal_subject(subject: str) -> str:
    """The job or session itself: what happened at its steps is listed with it."""
    return "/".join(subject.split("/")[:2])
