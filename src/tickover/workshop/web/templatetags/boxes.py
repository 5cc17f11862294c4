"""Draws limit boxes and weeks in a template, finds a task's open job."""

from collections.abc import Mapping

from django import template
from django.utils.safestring import SafeString, mark_safe

from tickover.workshop.drawings.limit_box import limit_box
from tickover.workshop.programme.queries import DueLine
from tickover.workshop.programme.workload import visit_chart
from tickover.workshop.programme.workload.visit_chart import LoadedWeek
from tickover.workshop.programme.workload.weeks import Ahead, SeasonMonth, Week

register = template.Library()


@register.simple_tag
def small_box(line: DueLine) -> SafeString:
    return mark_safe(limit_box(line.box, size="small"))


@register.simple_tag
def week_picture(ahead: Ahead, week: Week) -> SafeString:
    return mark_safe(ahead.picture(week))


@register.simple_tag
def load_picture(loaded: tuple[LoadedWeek, ...]) -> SafeString:
    return mark_safe(visit_chart.picture(loaded))


@register.simple_tag
def season_picture(month: SeasonMonth) -> SafeString:
    return mark_safe(month.picture)


@register.filter
def get_job(job_of: Mapping[tuple[int, str], str], line: DueLine) -> str | None:
    """Number of the open job for this task of this engine, if there is one."""
    return job_of.get((line.engine.pk, line.task.id))
