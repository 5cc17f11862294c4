"""The weeks ahead: visits, bench hours against capacity."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import queries
from tickover.workshop.programme.workload import agreed_day, visit_chart, visit_plan, weeks
from tickover.workshop.register import queries as register
from tickover.workshop.web.rejection import refusals_shown, show_rejection
from tickover.workshop.web.weeks.forms import AgreedDayForm, BenchHoursForm

PAGE = 20


@require_GET
def weeks_ahead(request: HttpRequest) -> HttpResponse:
    """Bench hours of the next weeks, as a distribution, and the visits that would save some."""
    person = require(request, Right.VIEW)
    day = timezone.localdate()
    form = BenchHoursForm(request.GET)
    form.is_valid()
    bench_h = form.cleaned_data.get("hours")
    lines = queries.engine_lines(register.engines(), day)
    plan = visit_plan.plan(lines, day, bench_h)
    loaded = visit_chart.loaded_weeks(plan, day, bench_h)
    context = {
        "ahead": weeks.ahead(lines, day, bench_h),
        "plan": plan,
        "loaded": loaded,
        "too_full": [week.over_words for week in loaded if week.over_words],
        "page": Paginator(plan.visits, PAGE).get_page(form.cleaned_data.get("page")),
        "may_work": may(person, Right.WORK),
        "season": weeks.season(lines, day),
        "form": form,
        "bench_h": bench_h,
    }
    return render(request, "weeks/weeks.html", context)


@require_POST
def agree(request: HttpRequest, serial: str) -> HttpResponse:
    """The day of an engine's next visit, or none."""
    who = require(request, Right.WORK)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    form = AgreedDayForm(request.POST)
    if not form.is_valid():
        show_rejection(request, "Choose a day such as 2026-12-04. Nothing was changed.")
        return redirect("programme:weeks")
    with refusals_shown(request):
        agreed_day.agree(engine, form.cleaned_data["on_day"], who=who, at=timezone.now())
    return redirect("programme:weeks")
