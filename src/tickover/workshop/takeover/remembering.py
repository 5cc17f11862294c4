"""Columns of a table: as they were corrected last time, else guessed."""

from __future__ import annotations

from tickover.formats.typed_table.columns import ColumnGuess, Words, fingerprint_of, guess_columns
from tickover.formats.typed_table.reading import TypedTable
from tickover.workshop.kernel import actions as journal
from tickover.workshop.takeover.models import RememberedColumns


def columns_of(table: TypedTable, words: Words) -> ColumnGuess:
    """The columns of a table whose first row was seen before, else a guess."""
    kept = RememberedColumns.objects.filter(fingerprint=fingerprint_of(table)).first()
    if kept is not None and kept.places.keys() <= words.keys():
        return ColumnGuess(kept.header, kept.places)
    return guess_columns(table, words)


@journal.locked()
def remember(table: TypedTable, columns: ColumnGuess) -> None:
    """Keep how a person corrected the columns, for the next table with the same first row. No journal entry."""
    RememberedColumns.objects.update_or_create(
        fingerprint=fingerprint_of(table),
        defaults={"header": columns.header, "places": dict(columns.places)},
    )
