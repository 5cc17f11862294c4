"""Holding an engine for a write, so that two people who change it at once do so one after the other."""

from __future__ import annotations

from tickover.workshop.kernel import actions as journal
from tickover.workshop.register.models import Engine


def lock_engine(engine_id: int) -> None:
    """Hold an engine to the end of the transaction.

    First the book, then the engine: two writers who took them in turns would wait for each other for ever.
    """
    journal.one_writer_at_a_time()
    Engine.objects.select_for_update(no_key=True).get(pk=engine_id)
