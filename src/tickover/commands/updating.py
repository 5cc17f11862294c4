"""Bringing a database forward to this version, and saying so in its journal."""

from __future__ import annotations

from datetime import datetime

from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from tickover import __version__
from tickover.workshop.audit.database_state import UPDATED
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.taking_over import note_from_before


def bring_up_to_date(*, at: datetime) -> bool:
    """Migrate, and note what a journal of before does not hold. Whether there was anything to migrate."""
    executor = MigrationExecutor(connection)
    pending = bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    if pending:
        call_command("migrate", verbosity=0)
    note_from_before(at=at)
    return pending


@transaction.atomic
def note_version(*, at: datetime) -> None:
    """The entry by which a later look knows what version wrote this database."""
    journal.append(UPDATED, "database", {"version": __version__}, actor="tickover", at=at)
