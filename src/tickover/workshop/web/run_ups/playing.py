"""A recording handed out in parts, as a browser asks for them when somebody listens at one place of a run."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

BLOCK = 256 * 1024
ONE_RANGE = re.compile(r"bytes=(\d{0,18})-(\d{0,18})")


def recording(request: HttpRequest, place: Path, media_type: str) -> HttpResponseBase:
    """The whole file, or the one range of bytes that was asked for (RFC 9110, section 14).

    Several ranges at once are answered with the whole file, as the standard allows.
    """
    size = place.stat().st_size
    found = ONE_RANGE.fullmatch(request.headers.get("Range", "").strip())
    asked = found if found and (found[1] or found[2]) else None
    span = _span(asked[1], asked[2], size) if asked else (0, size)
    if span is None:
        return HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
    start, end = span
    headers = {"Accept-Ranges": "bytes", "Content-Length": str(end - start), "Content-Disposition": "inline"}
    if asked:
        headers["Content-Range"] = f"bytes {start}-{end - 1}/{size}"
    status = 206 if asked else 200
    return StreamingHttpResponse(
        _blocks(place, start, end), status=status, content_type=media_type, headers=headers
    )


def _span(first: str, last: str, size: int) -> tuple[int, int] | None:
    """First byte and the one after the last; None where the file has none of what was asked for."""
    start = int(first) if first else max(size - int(last), 0)
    end = min(int(last) + 1, size) if first and last else size
    return (start, end) if start < end else None


def _blocks(place: Path, start: int, end: int) -> Iterator[bytes]:
    with place.open("rb") as file:
        file.seek(start)
        while start < end and (block := file.read(min(BLOCK, end - start))):
            start += len(block)
            yield block
