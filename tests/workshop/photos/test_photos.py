"""Photos: what is taken in, what is taken out of them, and how they are kept."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import pytest
from PIL import Image, ImageFile, JpegImagePlugin

from tickover.workshop.audit.verify import verify
from tickover.workshop.kernel import evidence_files
from tickover.workshop.photos import actions, opening, queries, subjects
from tickover.workshop.photos.models import Photo

pytestmark = pytest.mark.usefixtures("verified")

# EXIF 2.32 (CIPA DC-008): tag 0x0112 orientation, 6 = turn by 90 degrees clockwise; 0x8825 GPS directory.
ORIENTATION, GPS = 0x0112, 0x8825


def picture(
    kind: str = "JPEG", size: tuple[int, int] = (40, 20), mode: str = "RGB", *, turned: int = 1, **more: Any
) -> bytes:
    """An invented photo, red on its left half and blue on its right."""
    image = Image.new(mode, size, "blue")
    image.paste(Image.new(mode, (size[0] // 2, size[1]), "red"))
    exif = Image.Exif()
    exif[ORIENTATION] = turned
    exif[0x010F] = "Camera of nobody"
    exif.get_ifd(GPS)[2] = (47.0, 11.0, 13.0)
    out = io.BytesIO()
    image.save(out, kind, exif=exif, **more)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(opening.open_picture(data).image))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_photos_of_phones_are_taken_in(kind: str) -> None:
    found = opened(picture(kind))
    assert (found.format, found.size, found.mode) == ("JPEG", (40, 20), "RGB")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_camera_and_every_other_note_are_taken_out(kind: str) -> None:
    data = picture(kind, **({"comment": b"seen at home"} if kind == "JPEG" else {}))
    assert b"Camera of nobody" in data or kind == "WEBP"
    kept = opening.open_picture(data)
    for part in (kept.image, kept.thumbnail):
        found = Image.open(io.BytesIO(part))
        assert not dict(found.getexif()) and "comment" not in found.info and b"Camera" not in part


def test_a_photo_is_turned_upright() -> None:
    """EXIF 2.32, tag 274: 6 means that the left side of what is stored is the top of what was seen."""
    found = opened(picture(size=(400, 200), turned=6))
    assert found.size == (200, 400)
    top, bottom = found.getpixel((100, 50)), found.getpixel((100, 350))
    assert top[0] > 200 > bottom[0] and bottom[2] > 200 > top[2]


def test_a_large_photo_is_made_smaller_and_a_small_one_is_left() -> None:
    large = opening.open_picture(picture(size=(4000, 3000)))
    assert (large.width, large.height) == (2000, 1500)
    assert max(Image.open(io.BytesIO(large.thumbnail)).size) == 320
    assert opened(picture(size=(64, 48))).size == (64, 48)


def test_transparent_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (16, 16), (0, 0, 0, 0)).save(out, "PNG")
    assert opened(out.getvalue()).getpixel((8, 8)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"GIF89a" + bytes(40), "no JPEG, PNG or WebP"),
        (b"<svg onload='alert(1)'/>", "no JPEG, PNG or WebP"),
        (bytes(4) + b"ftypheic" + bytes(40), "HEIC.*Set the camera"),
        (picture(size=(400, 300))[:600], "cannot be read to its end|no JPEG"),
        (bytes(opening.MOST_BYTES + 1), "25 MB is the most"),
    ],
)
def test_what_is_no_photo_is_refused_with_what_to_do(data: bytes, says: str) -> None:
    with pytest.raises(opening.PhotoError, match=says):
        opening.open_picture(data)


def grey(kind: str, pixels: int) -> bytes:
    """One colour, so that it is small as a file however many pixels it has."""
    out = io.BytesIO()
    Image.new("L", (pixels // 4000, 4000)).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(("kind", "most"), [("JPEG", 80), ("PNG", 25), ("WEBP", 16)])
def test_too_many_pixels_are_refused_by_the_header_alone(
    kind: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    unpacked: list[str] = []
    monkeypatch.setattr(ImageFile.ImageFile, "load", lambda self: unpacked.append(self.format))
    with pytest.raises(opening.PhotoError, match=f"more than {most} megapixels.*picture size") as caught:
        opening.open_picture(grey(kind, most * 1_000_000 + 4000))
    assert unpacked == [] and ("send it as JPEG" in str(caught.value)) is (kind != "JPEG")


@pytest.mark.parametrize(("kind", "most"), [("JPEG", 80), ("PNG", 25), ("WEBP", 16)])
def test_as_many_pixels_as_allowed_are_taken(kind: str, most: int) -> None:
    assert max(Image.open(io.BytesIO(opening.open_picture(grey(kind, most * 1_000_000)).image)).size) == 2000


def test_a_large_jpeg_is_unpacked_at_a_part_of_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[tuple[int, int]] = []
    load = JpegImagePlugin.JpegImageFile.load

    def spied(self: Any) -> Any:
        done = load(self)
        sizes.append(self.size)
        return done

    monkeypatch.setattr(JpegImagePlugin.JpegImageFile, "load", spied)
    opening.open_picture(grey("JPEG", 80_000_000))
    assert max(max(size) for size in sizes) < 2 * opening.LONGEST_SIDE


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "PA", "RGB", "RGBA", "I;16", "CMYK"])
@pytest.mark.parametrize("side", [30, 2400])
def test_photos_of_every_make_up_are_taken(mode: str, side: int) -> None:
    kind = {"PA": "P", "CMYK": "CMYK"}.get(mode, mode)
    out = io.BytesIO()
    more = {"transparency": 0} if mode == "PA" else {}
    Image.new(kind, (side, 20)).save(out, "JPEG" if mode == "CMYK" else "PNG", **more)
    found = opened(out.getvalue())
    assert (found.mode, found.width) == ("RGB", min(side, 2000))


@pytest.fixture
def photo(outer: Any, crew: Any, now: datetime) -> Photo:
    return actions.add_photo("engine/1200", picture(), " the plug ", who=crew.technician, at=now)


def test_a_photo_is_kept_by_its_hash_and_found_with_its_subject(photo: Photo) -> None:
    assert queries.photos_of("engine/1200") == [photo] == queries.photos_under("engine/1200")
    assert photo.note == "the plug" and photo.subject == "engine/1200"
    assert evidence_files.sha256_of(queries.image_bytes(photo)) == photo.image.sha256
    assert queries.photos_of("engine/12") == []


def test_the_photos_of_a_job_hold_those_of_its_steps_and_of_no_other_job(crew: Any, now: datetime) -> None:
    for n, subject in enumerate(("job/2025-0001", "job/2025-0001/step/a.b", "job/2025-00011/step/a")):
        actions.add_photo(subject, picture(size=(40 + n, 20)), who=crew.technician, at=now)
    found = [p.subject for p in queries.photos_under("job/2025-0001")]
    assert found == ["job/2025-0001", "job/2025-0001/step/a.b"]


def test_the_same_photo_of_the_same_subject_is_kept_once(photo: Photo, crew: Any, now: datetime) -> None:
    with pytest.raises(actions.PhotoError, match="here already, added by Tilda Reeve"):
        actions.add_photo("engine/1200", picture(), who=crew.inspector, at=now)
    other = actions.add_photo("job/2025-0001", picture(), who=crew.inspector, at=now)
    assert other.image == photo.image


def test_a_photo_is_withdrawn_with_a_reason_and_never_deleted(photo: Photo, crew: Any, now: datetime) -> None:
    with pytest.raises(actions.PhotoError, match="why the photo is withdrawn"):
        actions.withdraw(photo, " ", who=crew.inspector, at=now)
    actions.withdraw(photo, "another engine", who=crew.inspector, at=now)
    assert queries.photos_of("engine/1200") == [] and queries.photo_by_number(photo.number) == photo
    assert queries.image_bytes(photo)
    with pytest.raises(actions.PhotoError, match="withdrawn already"):
        actions.withdraw(photo, "again", who=crew.inspector, at=now)


@pytest.mark.parametrize("subject", ["", "engine", "person/1", "engine/1/2", "job/1/step/"])
def test_a_photo_is_of_something(subject: str, crew: Any, now: datetime) -> None:
    with pytest.raises(actions.PhotoError, match="nothing that a photo can be of"):
        actions.add_photo(subject, picture(), who=crew.technician, at=now)


def test_verify_sees_a_photo_that_was_changed_or_is_gone(photo: Photo) -> None:
    place = evidence_files.place_of(photo.image.sha256)
    kept = place.read_bytes()
    place.write_bytes(kept + b"x")
    assert any("the file was changed" in f for f in verify().faults)
    place.unlink()
    assert any("cannot be read" in f for f in verify().faults)
    place.write_bytes(kept)


def test_a_subject_in_words() -> None:
    assert subjects.in_words("job/2026-0001/step/lever-height") == "Visit 2026-0001, step lever-height"
