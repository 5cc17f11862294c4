"""Six people send the largest photo that is taken, all at once: the memory of a small machine holds it."""

from __future__ import annotations

import sys
from typing import Any

import pytest

MOST_MB = 600
SIX = """
import io, json, resource, threading
from PIL import Image
from tickover.workshop.photos.opening import MOST_PIXELS, open_picture
def peak_mb(): return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
out = io.BytesIO()
width = {"PNG": 5000, "JPEG": 10000}[KIND]
Image.new("P" if KIND == "PNG" else "L", (width, MOST_PIXELS[KIND] // width)).save(out, KIND)
data, before = out.getvalue(), peak_mb()
six = [threading.Thread(target=open_picture, args=(data,)) for _ in range(6)]
for one in six: one.start()
for one in six: one.join()
print(json.dumps(peak_mb() - before))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the peak of memory is in kilobytes on Linux only")
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_six_large_photos_at_once_fit_into_memory(folder: Any, kind: str) -> None:
    assert folder.ask(f"KIND = {kind!r}\n{SIX}") < MOST_MB
