"""What a file looks like, so that a wrong one can be refused by its name."""

from __future__ import annotations

import re

# First bytes that no text log begins with. From memory.
MAGIC: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "a ZIP archive"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"RIFF", "a sound or video recording"),
    (b"SQLite format 3", "an SQLite database"),
    (b"\xff\xfe", "UTF-16 text"),
    (b"\xfe\xff", "UTF-16 text"),
)

TEXTS: tuple[tuple[str, str], ...] = (
    (r"(?is)\A\s*(<\?xml.{0,500})?.{0,200}<gpx\b", "a GPX track"),
    (r"(?is)\A\s*(<\?xml.{0,500})?.{0,200}<kml\b", "a KML file"),
    (r"(?is)\A\s*<(!doctype html|html)\b", "a web page"),
    (r"(?is)\A\s*<\?xml", "an XML file"),
    (r"\A\s*\$G[A-Z]{4},", "an NMEA log"),
    (r"\A\s*[{\[]", "a JSON file"),
    (r"\A[^\n,;\t]*([,;\t])[^\n]*\1[^\n]*\n[^\n]*\1[^\n]*\1", "a table (CSV)"),
)


def looks_like(data: bytes) -> str:
    """Name what `data` looks like, such as "a GPX track"; "" where nothing is recognised."""
    for magic, name in MAGIC:
        if data.startswith(magic):
            return name
    head = data[:4096]
    if b"\0" in head:
        return "a binary file"
    text = head.removeprefix(b"\xef\xbb\xbf").decode("latin-1")
    return next((name for pattern, name in TEXTS if re.search(pattern, text)), "")
