"""Whether the rows of every table in the chain say what their entries say, and nothing was added or taken out."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cached_property
from typing import Any, TypeVar, cast

from django.db import DatabaseError, connection, models

from tickover.workshop.kernel.journal_chain import canonical
from tickover.workshop.kernel.models import Amended, Chained, Recorded, by_hash
from tickover.workshop.kernel.written import Written, chained_models, parsed

NOT_READ = (ValueError, TypeError, AttributeError, OverflowError)
"""What the database layer raises for a value that no action writes."""

Row = TypeVar("Row", bound=Chained)


class RowCheck:
    """One pass over every row in the chain, after the entries were read."""

    def __init__(self, written: Written, readable: frozenset[type[models.Model]]) -> None:
        self._written = written
        self._unread: list[str] = []
        self._unread_entries: set[Any] = set()
        models = [model for model in chained_models() if model in readable]
        empty = _without_rows(models)
        read = [(model, [] if model in empty else self._read(model)) for model in models]
        self._rows = {model: rows for model, rows in read if rows is not None}

    @property
    def count(self) -> int:
        return sum(len(rows) for rows in self._rows.values())

    def rows_of(self, model: type[Row]) -> list[Row]:
        return cast(list[Row], self._rows.get(model, []))

    def faults(self) -> Iterator[str]:
        yield from self._unread
        for rows in self._rows.values():
            before = 0
            for row in rows:
                sequence = self._sequence_of(row)
                name = _name(type(row), row.pk, sequence)
                yield from self._row_faults(row, name, sequence)
                yield from self._reference_faults(row, name)
                if isinstance(row, Recorded):
                    yield from self._order_faults(name, sequence, before)
                    before = sequence or before
        yield from self._gone()

    def _read(self, model: type[Chained]) -> list[Chained] | None:
        """The rows that can be read, with a fault for each that cannot; None where the table cannot."""
        rows = model._default_manager.order_by("pk")
        try:
            return list(rows)
        except NOT_READ:
            return list(self._one_by_one(rows))
        except DatabaseError as error:
            self._unread.append(f"Table {model._meta.db_table} cannot be read ({error}).")
            return None

    def _one_by_one(self, rows: models.QuerySet[Chained]) -> Iterator[Chained]:
        numbered = issubclass(rows.model, Recorded)
        for pk, sequence in rows.values_list("pk", "entry_sequence" if numbered else "pk"):
            try:
                yield rows.get(pk=pk)
            except NOT_READ as error:
                name = _name(rows.model, pk, sequence if numbered else None)
                self._unread.append(f"{name}: the record cannot be read ({error}). It was changed.")
                self._unread_entries.add(sequence if numbered else None)

    def _sequence_of(self, row: Chained) -> int | None:
        if isinstance(row, Recorded):
            return row.entry_sequence if isinstance(row.entry_sequence, int) else None
        return self._written.newest_of(row)

    def _row_faults(self, row: Chained, name: str, sequence: int | None) -> Iterator[str]:
        body = self._written.body(sequence)
        if body is None:
            yield f"{name}: the record is there, but its entry is not in the journal."
            return
        changed = _changed(row, body)
        if changed and isinstance(row, Amended) and (later := self._written.later_of(row)):
            changed = _changed(row, later)
        if changed:
            columns = ", ".join(changed)
            yield (
                f"{name}: the record differs from its entry ({columns}). It was changed after it was written."
            )
        elif differs := parsed(body).get("differs"):
            columns = ", ".join(sorted(differs))
            yield f"{name}: taken over as it was, but earlier entries say otherwise ({columns}). It was changed before."

    def _order_faults(self, name: str, sequence: int | None, before: int) -> Iterator[str]:
        """An early entry does not name its row's number, but rows are numbered in the order of their entries."""
        body = parsed(self._written.body(sequence))
        if sequence and body and "row" not in body and sequence <= before:
            yield f"{name}: the record does not have the number it was written with (id). It was changed."

    def _reference_faults(self, row: Chained, name: str) -> Iterator[str]:
        for field in row._meta.concrete_fields:
            model = field.related_model
            held = getattr(row, field.attname) if model in self._rows else None
            if held is not None and not self._is_there(model, held):
                yield f"{name}: {field.name} {held}, which it names, is gone or has another number."

    def _gone(self) -> Iterator[str]:
        """A fault for each entry whose row is not there, unless its whole table is missing, which is said once."""
        there = {
            row.entry_sequence for rows in self._rows.values() for row in rows if isinstance(row, Recorded)
        }
        known = {model.record_label(): model for model in chained_models()}
        for sequence, text in self._written.bodies.items():
            body = {} if sequence in there or sequence in self._unread_entries else parsed(text)
            if not (label := body.get("record")):
                continue
            model = known.get(str(label))
            if model and model not in self._rows:
                continue
            if model and issubclass(model, Amended) and self._is_there(model, body.get("row")):
                continue
            yield f"Journal entry {sequence} ({label}): the record that it names is gone."

    def _is_there(self, model: Any, number: Any) -> bool:
        """Whether a table has a row of that number; one that was not read may have come since, or be damaged."""
        return number in self._numbers_read[model] or number in self._numbers_now[model]

    @cached_property
    def _numbers_read(self) -> dict[Any, set[Any]]:
        return {model: {row.pk for row in rows} for model, rows in self._rows.items()}

    @cached_property
    def _numbers_now(self) -> dict[Any, set[Any]]:
        return {model: set(model._default_manager.values_list("pk", flat=True)) for model in self._rows}


def _without_rows(tables: list[type[Chained]]) -> frozenset[type[Chained]]:
    """Those that have no row, found in one question; none of them where one cannot be read.

    The first row is asked for in the order in which rows are read, so that a table is gone through the same way.
    """
    name = connection.ops.quote_name
    keys = [(name(str(table._meta.pk.column)), name(table._meta.db_table)) for table in tables]
    if not keys:
        return frozenset()
    try:
        with connection.cursor() as cursor:
            firsts = (f"(SELECT 1 FROM {rows} ORDER BY {key} LIMIT 1)" for key, rows in keys)
            cursor.execute(f"SELECT {', '.join(firsts)}")
            (found,) = cursor.fetchall()
    except DatabaseError:
        return frozenset()
    return frozenset(table for table, first in zip(tables, found, strict=True) if first is None)


def _name(model: type[Chained], pk: Any, sequence: int | None) -> str:
    what = "person" if model.record_label() == "people.Person" else model._meta.verbose_name
    return f"Journal entry {sequence} ({what} {pk})" if sequence is not None else f"Record {what} {pk}"


def _changed(row: Chained, body: str) -> list[str]:
    """The columns in which a row differs from its entry."""
    said = parsed(body)
    if said.get("record") != row.record_label():
        return ["the kind of record"]
    try:
        # An entry from before long texts were told by their hash holds such a text itself.
        written = by_hash(said["facts"], row.kept_by_hash)
        # An entry from before a column came says nothing of it: the row must hold what the column began with.
        wanted, found = {**row.facts_unwritten(), **written}, json.loads(canonical(row.facts()))
    except (ValueError, AttributeError, KeyError, TypeError):
        return ["a value that no entry can hold"]
    changed = sorted(n for n in wanted | found if wanted.get(n, ...) != found.get(n, ...))
    return changed if said.get("row", row.pk) == row.pk else ["id", *changed]
