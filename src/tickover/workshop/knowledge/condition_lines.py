"""A condition of a test as a line that is typed: "minutes: at least 3 (Time at full throttle)"."""

from __future__ import annotations

import re
from typing import Any

from tickover.formats.text.number import NumberError, read_number

LINE = re.compile(r"(?P<of>[a-z0-9-]+)\s*:\s*(?P<span>[^()]+?)\s*(?:\((?P<title>[^()]*)\))?", re.IGNORECASE)
AT_LEAST, AT_MOST, BETWEEN = "at least ", "at most ", re.compile(r"(.+?)\s+to\s+(.+)")


def condition_in_words(row: dict[str, Any]) -> str:
    """A condition of the sheet as its line; `read_condition` reads it again."""
    lower, upper = row.get("lower"), row.get("upper")
    if lower is None or upper is None:
        span = f"{AT_MOST}{upper:.10g}" if lower is None else f"{AT_LEAST}{lower:.10g}"
    else:
        span = f"{lower:.10g}" if lower == upper else f"{lower:.10g} to {upper:.10g}"
    title = row.get("title", "")
    return f"{row['of']}: {span}{f' ({title})' if title else ''}"


def read_condition(line: str) -> dict[str, Any]:
    """The condition of a line. Raises NumberError with what is wrong and how it is written."""
    found = LINE.fullmatch(line.strip())
    if found is None:
        raise NumberError(
            f"“{line.strip()[:60]}” is no condition. Write it as: minutes: at least 3, or start: 0.4 to 0.6."
        )
    of, title = found["of"].lower(), (found["title"] or "").strip()
    row = {"of": of} | _ends(found["span"], of)
    return row | ({"title": title} if title else {})


def _ends(span: str, of: str) -> dict[str, float]:
    words = span.casefold()
    if words.startswith(AT_LEAST):
        return {"lower": _number(span[len(AT_LEAST) :], of)}
    if words.startswith(AT_MOST):
        return {"upper": _number(span[len(AT_MOST) :], of)}
    if both := BETWEEN.fullmatch(span):
        return {"lower": _number(both[1], of), "upper": _number(both[2], of)}
    value = _number(span, of)
    return {"lower": value, "upper": value}


def _number(text: str, of: str) -> float:
    return read_number(text, unit="", name=of)
