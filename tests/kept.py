"""What many tests begin with is made once for the whole run, action by action; later tests get its rows and files.

The rows go into the test's own transaction, so no test sees what another did. What was made is known by the hash
of the journal it was made on: a test that has written something before gets its own.
"""

from __future__ import annotations

import copy
import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models

T = TypeVar("T")
Rows = dict[type[models.Model], dict[Any, tuple[tuple[Any, ...], models.Model]]]


@dataclass(frozen=True)
class Kept:
    made: Any
    new: dict[type[models.Model], list[models.Model]]
    gone: dict[type[models.Model], list[Any]]
    files: Path


_kept: dict[tuple[str, str], Kept] = {}


def once(name: str, make: Callable[[], T], folder: Path) -> T:
    """What `make` returns, with all it wrote into the database and the folder, made once for each such beginning."""
    from tickover.workshop.kernel.models import Entry

    head = Entry.objects.order_by("-sequence").values_list("hash", flat=True).first() or ""
    kept = _kept.get((name, head))
    if kept is None:
        before = _rows()
        made = make()
        _kept[name, head] = _written_since(before, made, folder)
        return made
    for model, keys in kept.gone.items():
        model._base_manager.filter(pk__in=keys).delete()
    for model, rows in kept.new.items():
        model._base_manager.bulk_create(copy.copy(row) for row in rows)
    _set_sequences(list(kept.new))
    shutil.copytree(kept.files, folder, dirs_exist_ok=True)
    return copy.deepcopy(kept.made)  # type: ignore[no-any-return]


def _rows() -> Rows:
    return {
        model: {
            row.pk: (tuple(getattr(row, f.attname) for f in model._meta.concrete_fields), row) for row in rows
        }
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and (rows := list(model._base_manager.all()))
    }


def _written_since(before: Rows, made: Any, folder: Path) -> Kept:
    new, gone = {}, {}
    for model, rows in _rows().items():
        was = {key: values for key, (values, _) in before.get(model, {}).items()}
        new[model] = [row for key, (values, row) in rows.items() if was.get(key) != values]
        gone[model] = [row.pk for row in new[model] if row.pk in was] + [
            key for key in was if key not in rows
        ]
    files = Path(tempfile.mkdtemp(prefix="kept-", dir=os.environ["TICKOVER_DATA"]))
    shutil.copytree(folder, files, dirs_exist_ok=True)
    return Kept(
        copy.deepcopy(made), {m: r for m, r in new.items() if r}, {m: k for m, k in gone.items() if k}, files
    )


def _set_sequences(models_: list[type[models.Model]]) -> None:
    """On PostgreSQL a number that was given and not drawn would be drawn again."""
    if statements := connection.ops.sequence_reset_sql(no_style(), models_):
        with connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement)
