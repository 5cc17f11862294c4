"""What the entries of the journal say of single rows."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cached_property
from typing import Any

from django.apps import apps

from tickover.workshop.kernel.models import Amended, Chained, Entry, Recorded


def chained_models() -> list[type[Chained]]:
    return [m for m in apps.get_models() if issubclass(m, Chained)]


def recorded_models() -> list[type[Recorded]]:
    return [m for m in chained_models() if issubclass(m, Recorded)]


def parsed(text: str | None) -> dict[str, Any]:
    """The body of an entry; {} of one that is none."""
    try:
        body = json.loads(text or "")
    except ValueError:
        return {}
    return body if isinstance(body, dict) else {}


class Written:
    """The bodies of the entries up to `head`. Somebody may go on working: a newer one is looked up."""

    def __init__(self, bodies: dict[int, str], head: int) -> None:
        self.bodies, self._head = bodies, head

    def body(self, sequence: int | None) -> str | None:
        if sequence is not None and sequence > self._head:
            return Entry.objects.filter(sequence=sequence).values_list("body", flat=True).first()
        return self.bodies.get(sequence or 0)

    def newest_of(self, row: Chained) -> int | None:
        """The number of the newest entry of a row that may change."""
        key = row.record_label(), row.pk
        return self._newest.get(key) or self._later.get(key)

    def later_of(self, row: Chained) -> str | None:
        """The body of an entry about the row that was written after the others were read."""
        return self.body(self._later.get((row.record_label(), row.pk)))

    @cached_property
    def _newest(self) -> dict[tuple[str, int], int]:
        return _newest(self.bodies.items())

    @cached_property
    def _later(self) -> dict[tuple[str, int], int]:
        since = Entry.objects.filter(sequence__gt=self._head).order_by("sequence")
        return _newest(since.values_list("sequence", "body"))


def _newest(entries: Iterable[tuple[int, str]]) -> dict[tuple[str, int], int]:
    labels = [m.record_label() for m in chained_models() if issubclass(m, Amended)]
    found: dict[tuple[str, int], int] = {}
    for sequence, text in entries:
        if any(f'"record":"{label}"' in text for label in labels):
            body = parsed(text)
            if body.get("record") in labels and isinstance(body.get("row"), int):
                found[body["record"], body["row"]] = sequence
    return found
