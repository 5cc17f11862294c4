"""How much of a WAV file is there? Its header tells how many bytes of sound should follow."""

from __future__ import annotations

import os
import struct
from typing import BinaryIO

# Sizes that recorders write that do not know the length while they record.
UNKNOWN = (0, 0xFFFF_FFFF)


def held_share(file: BinaryIO) -> float:
    """Share of the sound promised by the header of a WAV file that the file holds. [1]

    1 where it is whole, no WAV, or its header does not tell. Chunks: an identifier of four bytes, a size of
    four, and as many bytes, padded to an even number (RIFF; Multimedia Programming Interface and Data
    Specifications 1.0, 1991).
    """
    file.seek(0)
    head = file.read(12)
    if head[:4] != b"RIFF" or head[8:] != b"WAVE":
        return 1.0
    while len(chunk := file.read(8)) == 8:
        name, size = struct.unpack("<4sI", chunk)
        if name == b"data":
            held = os.fstat(file.fileno()).st_size - file.tell()
            return 1.0 if size in UNKNOWN else min(max(held, 1) / size, 1.0)
        file.seek(size + size % 2, os.SEEK_CUR)
    return 1.0
