"""From the bytes of a camera to a picture that can be kept: upright, not too large, and saying nothing else."""

from __future__ import annotations

import io
import threading
import warnings
from dataclasses import dataclass

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from tickover.workshop.kernel.refusal import RefusedError

MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = {"JPEG": 80_000_000, "PNG": 25_000_000, "WEBP": 16_000_000}
"""A JPEG is unpacked at a quarter or an eighth of its size; the others only whole, at four bytes a pixel."""
AT_ONCE = threading.BoundedSemaphore(2)
"""Pictures that are unpacked at the same time, so that a handful of them does not fill the memory."""
LONGEST_SIDE = 2000
THUMBNAIL_SIDE = 320
KINDS = ("JPEG", "PNG", "WEBP")
HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avif")


class PhotoError(RefusedError):
    """A photo cannot be kept; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class OpenedPhoto:
    """A picture as it is kept: JPEG without any note of where, when or by what it was taken."""

    image: bytes
    thumbnail: bytes
    width: int
    height: int


def open_picture(data: bytes) -> OpenedPhoto:
    """Read, turn upright by EXIF, make small enough, and write afresh. Raises PhotoError."""
    if not data:
        raise PhotoError("The file is empty. Take the photo again. Nothing was saved.")
    if len(data) > MOST_BYTES:
        raise PhotoError(too_large(len(data)))
    if data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS:
        raise PhotoError(
            "This is a HEIC photo, which few programs can read. Set the camera of the phone to JPEG "
            "(“most compatible”), or send it as a JPEG. Nothing was saved."
        )
    with AT_ONCE:
        image = _upright(data)
        return OpenedPhoto(_jpeg(image), _jpeg(_fitted(image, THUMBNAIL_SIDE)), *image.size)


def too_large(size: int) -> str:
    return (
        f"The photo has {size / 2**20:.0f} MB; {MOST_BYTES // 2**20} MB is the most. "
        "Take it with a smaller picture size. Nothing was saved."
    )


def _upright(data: bytes) -> Image.Image:
    """The pixels of the first frame in sRGB, as they were seen, and no more of them than are kept."""
    try:
        with warnings.catch_warnings():
            # Our own limit is asked below, before a single pixel is unpacked.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=KINDS) as found:
                _refuse_bomb(found)
                return _flat(_srgb(ImageOps.exif_transpose(_unpacked(found))))
    except UnidentifiedImageError as error:
        raise PhotoError(
            "This file is no JPEG, PNG or WebP photo. Choose a photo. Nothing was saved."
        ) from error
    except Image.DecompressionBombError as error:
        raise PhotoError(_too_many_pixels("JPEG")) from error
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise PhotoError(
            f"The photo cannot be read to its end ({error}). Take or send it again. Nothing was saved."
        ) from error


def _refuse_bomb(found: Image.Image) -> None:
    kind = found.format or "JPEG"
    if found.width * found.height > MOST_PIXELS[kind]:
        raise PhotoError(_too_many_pixels(kind))


def _too_many_pixels(kind: str) -> str:
    name, most = ("WebP" if kind == "WEBP" else kind), MOST_PIXELS[kind] // 1_000_000
    instead = "Take it with a smaller picture size"
    if kind != "JPEG":
        instead += f", or send it as JPEG (up to {MOST_PIXELS['JPEG'] // 1_000_000})"
    return f"The photo has more than {most} megapixels, the most for {name}. {instead}. Nothing was saved."


def _unpacked(found: Image.Image) -> Image.Image:
    """Made smaller at once: whatever is done to it afterwards is done to few pixels."""
    shrink = max(found.size) / LONGEST_SIDE
    if shrink > 1.0:
        found.draft("RGB", (round(found.width / shrink) or 1, round(found.height / shrink) or 1))
    found.load()
    clear = found.has_transparency_data
    plain: Image.Image = found
    if found.mode != "RGBA" and (clear or found.mode not in ("RGB", "L")):
        plain = found.convert("RGBA" if clear else "RGB")
    plain.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    return plain


def _srgb(image: Image.Image) -> Image.Image:
    """Colours tell much about a plug, and they are lost with a profile that is thrown away unread."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode not in ("RGB", "RGBA"):
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        changed = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return image
    return changed or image


def _flat(image: Image.Image) -> Image.Image:
    """On white where it is transparent, and without a word of what came with the pixels."""
    layered = image.convert("RGBA") if image.has_transparency_data else image.convert("RGB")
    clean = Image.new("RGB", layered.size, "white")
    clean.paste(layered, mask=layered.getchannel("A") if layered.mode == "RGBA" else None)
    return clean


def _fitted(image: Image.Image, side: int) -> Image.Image:
    smaller = image.copy()
    smaller.thumbnail((side, side), Image.Resampling.LANCZOS)
    return smaller


def _jpeg(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88, optimize=True)
    return out.getvalue()
