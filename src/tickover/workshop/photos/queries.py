"""Reads of photos."""

from __future__ import annotations

from collections.abc import Container

from django.db.models import Q, QuerySet

from tickover.workshop.kernel import evidence_files
from tickover.workshop.photos.models import Photo
from tickover.workshop.register.models import EvidenceFile


def photos_of(subject: str) -> list[Photo]:
    """Photos of a subject that count, oldest first."""
    kind, _, key = subject.partition("/")
    return list(_photos().filter(subject_kind=kind, subject_key=key, withdrawn=None))


def photos_under(subject: str) -> list[Photo]:
    """Photos of a subject and of its parts: of a job and of all its steps."""
    kind, _, key = subject.partition("/")
    within = Q(subject_key=key) | Q(subject_key__startswith=f"{key}/")
    return list(_photos().filter(within, subject_kind=kind, withdrawn=None))


def photos_of_all(subjects: Container[str]) -> QuerySet[Photo]:
    """Photos of these subjects and of their parts, those that are withdrawn too; subjects like "job/2026-0001"."""
    rows = Photo.objects.values_list("pk", "subject_kind", "subject_key")
    found = [pk for pk, kind, key in rows if f"{kind}/{key.partition('/')[0]}" in subjects]
    return _photos().filter(pk__in=found)


def photo_by_number(number: int) -> Photo | None:
    return _photos().select_related("withdrawn", "withdrawn__by").filter(entry_sequence=number).first()


def photos_with(file: EvidenceFile) -> list[Photo]:
    """Photos whose picture, large or small, is this file."""
    return list(_photos().filter(Q(image=file) | Q(thumbnail=file)))


def same_photo(kind: str, key: str, image: EvidenceFile) -> Photo | None:
    """A photo of this subject with the same pixels that counts."""
    found = _photos().filter(subject_kind=kind, subject_key=key, image=image, withdrawn=None)
    return found.first()


def image_bytes(photo: Photo) -> bytes:
    """The JPEG itself, for a paper. Raises OSError where the file is gone."""
    return evidence_files.read(photo.image.sha256)


def _photos() -> QuerySet[Photo]:
    return Photo.objects.select_related("image", "thumbnail", "by").order_by("entry_sequence")
