"""Which lines of a file were left out: in order, and no more of them than a page can show."""

from __future__ import annotations

from collections.abc import Iterable

from tickover.formats.igc import DAMAGE_LIMIT, Damage


def in_line_order(damaged: Iterable[Damage]) -> tuple[Damage, ...]:
    """Damaged lines from the first on; beyond the limit one more line tells how many follow."""
    found = sorted(damaged, key=lambda damage: damage.line)
    rest = found[DAMAGE_LIMIT:]
    if not rest:
        return tuple(found)
    rest_in_words = f"{len(rest)} more damaged lines from here on are not listed"
    return (*found[:DAMAGE_LIMIT], Damage(rest[0].line, rest_in_words, ""))
