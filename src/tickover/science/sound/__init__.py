"""Engine speed from a recording of its sound.

Begin at `track`: `listening` looks twice (`comb`, then `multiples`), `evidence` and `confidence` say how sure it is.
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
