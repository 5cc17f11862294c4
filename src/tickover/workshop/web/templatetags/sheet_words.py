"""Looks up in a type sheet what a step or a job names by its id."""

from collections.abc import Iterable

from django import template

from tickover.language import sources
from tickover.sheets import Fasteners, Joint, LimitRow, Part, Step, TaskRow, TypeSheet
from tickover.workshop.visits.models import Job
from tickover.workshop.visits.queries import JobSheet, sheet_for, task_ids

register = template.Library()

SHAPES = {
    "inside": "✓",
    "outside": "✗",
    "cannot tell": "?",
    "not valid": "–",
    "conforms": "✓",
    "does not conform": "✗",
    "wrench not known": "?",
}


@register.filter
def parts_of(ids: Iterable[str], sheet: TypeSheet) -> list[Part]:
    return [sheet.part(part_id) for part_id in ids]


@register.filter
def joint_of(joint_id: str, sheet: TypeSheet) -> Joint:
    return sheet.joint(joint_id)


@register.filter
def title_of_task(task_id: str, sheet: TypeSheet) -> str:
    return sheet.task(task_id).title


@register.filter
def source(row: TaskRow) -> str:
    """Where a row's figures come from."""
    return sources.source_in_words(row.authority, row.source)


@register.filter
def marked_source(row: Step | LimitRow | Fasteners) -> str:
    """The same; "" for general practice, which the card says once."""
    return sources.source_where_marked(row.authority, row.source)


@register.filter
def rule_words(rule: str) -> str:
    """How a limit takes a reading: as read, or allowing for gauge error."""
    return sources.RULES[rule]


@register.filter
def step_number(sheet: JobSheet, step_id: str) -> int:
    """The number of a step in its card, as the page counts them."""
    return sheet.step(step_id).number


@register.filter
def task_title(job: Job) -> str:
    """Its task, and with it those that were added, by the sheet the job is done by; of a job of a list."""
    sheet = sheet_for(job.sheet)
    return ", with ".join(sheet.task(task_id).title for task_id in task_ids(job))


@register.filter
def shape(decision: str) -> str:
    """A verdict as a shape, so that it is not told by words or colour alone."""
    return SHAPES.get(decision, "")
