"""Whether the database still has every table and column that tickover made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.apps import apps
from django.db import connection, models

COLUMNS = {
    "sqlite": "SELECT m.name, c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c WHERE m.type = 'table'",
    "postgresql": "SELECT table_name, column_name FROM information_schema.columns "
    "WHERE table_schema = current_schema()",
}


@dataclass(frozen=True)
class Tables:
    """The models whose rows can be read, and a sentence for each table or column that is missing."""

    readable: frozenset[type[models.Model]]
    faults: tuple[str, ...]


def look_at_tables() -> Tables:
    columns: dict[str, set[str]] = defaultdict(set)
    with connection.cursor() as cursor:
        cursor.execute(COLUMNS[connection.vendor])
        for table, column in cursor.fetchall():
            columns[table].add(column)
    found = {m: tuple(_missing(m, columns)) for m in apps.get_models(include_auto_created=True)}
    readable = frozenset(model for model, faults in found.items() if not faults)
    return Tables(readable, tuple(fault for faults in found.values() for fault in faults))


def _missing(model: type[models.Model], columns: dict[str, set[str]]) -> Iterator[str]:
    table = model._meta.db_table
    if table not in columns:
        yield f"Table {table} is missing, and with it every {model._meta.verbose_name}. It was removed."
        return
    for field in model._meta.concrete_fields:
        if field.column not in columns[table]:
            yield f"Column {field.column} of table {table} is missing. It was removed."
