"""A work card to take where there is neither power nor signal: no job is opened, nothing is recorded."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time

from django.utils.timezone import make_aware

from tickover.language.amounts import day, hours, units
from tickover.workshop import papers
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.logbook import job_papers
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries
from tickover.workshop.visits.models import Job

WRITING_LINES = ("Visit number", "Date and place", "Engine time when begun", "Kit lot")


def blank_card(engine: Engine, task_id: str) -> bytes:
    """The card of a task, by the newest sheet. Raises LookupError where the task or its card is not there."""
    version = register.newest_sheet_version(engine.sheet_id)
    sheet = queries.sheet_for(version, engine.build_id)
    task = sheet.task(task_id)
    if task.card is None:
        raise LookupError(f"the sheet has no work card for “{task.title}” yet")
    known_to = max(
        [engine.in_service_on, *engine_time.counting_entries(engine).values_list("on_day", flat=True)]
    )
    unopened = Job(
        engine=engine,
        sheet=version,
        task_id=task_id,
        card_id=task.card,
        # The day up to which engine time is known: the same records give the same paper on any day.
        opened_at=make_aware(datetime.combine(known_to, time())),
        engine_h=engine_time.total_time(engine).hours_h,
    )
    card = sheet.card(task.card)
    data = job_papers.work_card_data(queries.job_sheet(unopened))
    listed = (("Tools", card.tools), ("Consumables", card.consumables), ("Record", (task.record,)))
    return papers.work_card_pdf(
        replace(
            data,
            job="",
            status="blank; not opened in the register. Enter it there afterwards",
            engine_time=f"{hours(unopened.engine_h)} h, known to {day(known_to)}",
            lay_out=tuple(papers.Fact(name, units(", ".join(what))) for name, what in listed if any(what)),
            writing_lines=WRITING_LINES,
        )
    )
