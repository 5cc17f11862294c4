"""Does a header tell the engine speed, and what is one of its counts in rpm?

Spellings (rpm, r/min, 1/min, U/min, engine speed, Drehzahl; turns a second; tens, hundreds, thousands of rpm) are
common practice without a source.
"""

from __future__ import annotations

import math
import re

from tickover.formats.errors import FormatError

__all__ = ["of_engine", "rpm_per_count", "tells_speed"]

ENGINE_SPEED = re.compile(
    r"rpm|\b(1|u|r|rev|revs)\s?/\s?min|\bmin\s?\^?[-⁻][1¹]|1000/min"
    r"|\bengine ?speed|\bmotor ?speed|drehzahl|\bupm\b|\btach"
    r"|\brps\b|\b(u|r|rev|revs)\s?/\s?s(ec)?\b"
)
OTHER_SPEED = re.compile(r"prop|rotor|\bfan|wheel|limit|target|\bmax|warn|alarm")
OF_ENGINE = re.compile(r"\beng|\bmotor|crank|\bmot\b")
A_MINUTE = re.compile(r"rpm|min|upm")
A_SECOND = re.compile(r"\bhz\b|\brps\b|/\s?s(ec)?\b|\bs\s?\^?[-⁻][1¹]")
RADIANS = re.compile(r"\brad\s?/\s?s")
OTHER_HERTZ = re.compile(r"\b[km]hz\b")
MANY = re.compile(r"[x×*]\s?(10{1,3})\b|\b(10{1,3})\s?(?=rpm|[ru1]?/min|[ur]/)")
TENFOLD_OR_TENTH = re.compile(r"(rpm|min|upm)\W*/\s?10{1,3}\b")


def tells_speed(text: str) -> bool:
    """Whether a header, in small letters, tells the speed of the engine and not of something else."""
    return bool(ENGINE_SPEED.search(text)) and not OTHER_SPEED.search(text)


def of_engine(text: str) -> bool:
    """Whether it names the engine too."""
    return bool(OF_ENGINE.search(text))


def rpm_per_count(text: str) -> float:
    """One count of a column in rpm, by its header in small letters.

    Examples
    --------
    >>> rpm_per_count("engine speed [hz]"), rpm_per_count("rpm x100"), rpm_per_count("rpm")
    (60.0, 100.0, 1.0)
    """
    if TENFOLD_OR_TENTH.search(text) or OTHER_HERTZ.search(text):
        raise FormatError(
            f'The header "{text[:40]}" does not say what one count of engine speed is. Write rpm, rpm x 10 or Hz.'
        )
    many = MANY.search(text)
    times = float(many[1] or many[2]) if many else 1000.0 if re.search(r"\bkrpm\b", text) else 1.0
    if A_MINUTE.search(text):
        return times
    if RADIANS.search(text):
        return times * 30.0 / math.pi
    return times * (60.0 if A_SECOND.search(text) else 1.0)
