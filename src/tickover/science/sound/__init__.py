"""Engine speed from a recording of its sound.

Begin at `track`: `listening` goes over it twice (`comb`, then `multiples`), `evidence` and `confidence` say how sure it
is. Imports `core` only.
"""

from tickover.science.sound.track import (
    FOUR_STROKES,
    SoundSettings,
    SoundTrack,
    SoundTracker,
    track_rpm,
)

__all__ = [
    "FOUR_STROKES",
    "SoundSettings",
    "SoundTrack",
    "SoundTracker",
    "track_rpm",
]
