"""Naming a file by its first bytes."""

from __future__ import annotations

import pytest

from tickover.formats.filetype import looks_like


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"PK\x03\x04abc", "a ZIP archive"),
        (b"\x1f\x8b\x08", "a gzip archive"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture"),
        (b"\xff\xfeB\0", "UTF-16 text"),
        (b"\xef\xbb\xbf<?xml version='1.0'?><gpx>", "a GPX track"),
        (b"<kml xmlns='x'>", "a KML file"),
        (b"<!DOCTYPE html><p>", "a web page"),
        (b"<?xml version='1.0'?><note>", "an XML file"),
        (b"$GPRMC,123519,A", "an NMEA log"),
        (b'{"a": 1}', "a JSON file"),
        (b"t;egt;cht\n0;1;2\n", "a table (CSV)"),
        (b"a\0b", "a binary file"),
        (b"AXXX001\nHFDTE240625\n", ""),
        (b"", ""),
    ],
)
def test_a_file_is_named(data: bytes, name: str) -> None:
    assert looks_like(data) == name
