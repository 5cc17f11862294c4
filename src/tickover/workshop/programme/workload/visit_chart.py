"""The weeks ahead as a drawing: bench hours of each week, its visits as blocks, the hours there are as a line."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from tickover.workshop.drawings.drawing import Drawing
from tickover.workshop.programme.workload.visit_plan import Plan, PlannedVisit
from tickover.workshop.programme.workload.weeks import WEEKS

WIDTH, HEIGHT, LEFT, TOP, FOOT = 900.0, 320.0, 34.0, 26.0, 44.0
GAP = 8.0
ROOM_FOR_A_NAME = 15.0
"""Height of a block that has room for its engine's name. [px]"""


@dataclass(frozen=True)
class LoadedWeek:
    """The visits planned for one week, and whether they take more than the hours there are. [h]"""

    monday: date
    visits: tuple[PlannedVisit, ...]
    bench_h: float | None

    @property
    def hours_h(self) -> float:
        return sum(v.visit.total_min for v in self.visits) / 60.0

    @property
    def over_h(self) -> float:
        """Hours more than there are; 0 where they fit, or where nobody said how many there are. [h]"""
        return 0.0 if self.bench_h is None else max(0.0, self.hours_h - self.bench_h)

    @property
    def over_words(self) -> str:
        """Which week has too little, and by how much; "" for one that has room."""
        if self.over_h < 0.05:
            return ""
        return (
            f"Week {self.monday.isocalendar().week}, from {self.monday:%-d %b}: {self.over_h:.1f} h too many"
        )


def loaded_weeks(plan: Plan, today: date, bench_h: float | None) -> tuple[LoadedWeek, ...]:
    """The weeks ahead with their visits; what is planned before this week is in this one."""
    first = today - timedelta(days=today.weekday())
    of_week: dict[date, list[PlannedVisit]] = defaultdict(list)
    for visit in plan.visits:
        of_week[max(first, visit.week)].append(visit)
    mondays = [first + timedelta(weeks=n) for n in range(WEEKS)]
    return tuple(LoadedWeek(monday, tuple(of_week[monday]), bench_h) for monday in mondays)


def picture(weeks: tuple[LoadedWeek, ...]) -> str:
    """Each week a column of its visits; the hours there are as a dashed line."""
    bench_h = weeks[0].bench_h
    most_h = max([w.hours_h for w in weeks] + [bench_h or 0.0, 1.0])
    scale, step = (HEIGHT - TOP - FOOT) / most_h, (WIDTH - LEFT) / len(weeks)
    said = ", ".join(f"week {w.monday.isocalendar().week} {w.hours_h:.1f} h" for w in weeks)
    drawing = Drawing(WIDTH, HEIGHT, "Bench hours of the visits, week by week", said)
    foot = HEIGHT - FOOT
    for n, week in enumerate(weeks):
        left, top = LEFT + n * step, foot
        for visit in week.visits:
            top -= scale * visit.visit.total_min / 60.0
            _block(drawing, visit, left, top, step - GAP, scale * visit.visit.total_min / 60.0)
        middle = left + (step - GAP) / 2
        if week.visits:
            style = "signal-text" if week.over_words else "text"
            drawing.text((middle, top - 6), f"{week.hours_h:.1f} h", size=14, anchor="middle", style=style)
        drawing.text((middle, foot + 18), f"{week.monday.isocalendar().week}", size=14, anchor="middle")
        drawing.text((middle, foot + 36), f"{week.monday:%-d %b}", size=12, anchor="middle")
    drawing.line((LEFT, foot), (WIDTH - GAP, foot), "hair")
    if bench_h is not None:
        y = foot - scale * bench_h
        drawing.line((LEFT, y), (WIDTH - GAP, y), "dash")
        drawing.text((LEFT - 4, y + 4), f"{bench_h:g}", size=13, anchor="end")
    return drawing.svg()


def _block(
    drawing: Drawing, visit: PlannedVisit, left: float, top: float, width: float, height: float
) -> None:
    right, foot = left + width, top + height
    corners = [(left, top), (right, top), (right, foot), (left, foot)]
    drawing.path(corners, "shade" if visit.late else "soft", closed=True)
    drawing.path(corners, "hair", closed=True)
    if height >= ROOM_FOR_A_NAME:
        drawing.text((left + 4, top + 12), visit.engine.name[:9], size=11)
