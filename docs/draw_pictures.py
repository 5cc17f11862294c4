"""Draw the pictures of the README from invented data, with the drawings of the program itself.

A test draws them again and fails when one in `docs/pictures` is out of date.

    python docs/draw_pictures.py
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np

from tickover.science.measurement.conformity import decide
from tickover.science.measurement.verdict import Decision, Verdict
from tickover.science.run_up import analyse, make_trace
from tickover.sheets import shipped_sheets
from tickover.workshop.drawings import LimitBox, limit_box, where_to_measure
from tickover.workshop.drawings.drawing import Drawing
from tickover.workshop.drawings.run_strip import Band, Mark, Strip, run_strip

PICTURES = Path(__file__).resolve().parent / "pictures"
INK, PAPER, MARGIN = "#1d1b16", "#ffffff", 14.0
READ_MM, STEP_MM, UNCERTAINTY_MM = 1.58, 0.02, 0.05
"""A depth gauge of 0.02 mm, with ± 0.05 mm at k = 2: invented."""


def due_by_hours_or_date() -> str:
    """The limit box of a task that is due after 50 h or ten months, with the likely hours to come."""
    last, today, due = (date(2026, *day).toordinal() for day in ((3, 2), (8, 20), (12, 31)))
    track = ((0, 200.0), (34, 203.5), (61, 209.0), (96, 215.5), (130, 224.0), (152, 229.0))
    box = LimitBox(
        title="Carburettor diaphragm kit",
        last_day=last,
        last_h=200.0,
        due_day=due,
        due_h=250.0,
        tolerance_days=15,
        tolerance_h=3.0,
        today=today,
        now_h=232.0,
        track=tuple((last + day, hours) for day, hours in track),
        fan=tuple(
            (today + d, 232 + 0.19 * d - 0.4 * d**0.5, 232 + 0.19 * d, 232 + 0.19 * d + 0.55 * d**0.5)
            for d in (*range(0, 10, 2), *range(10, 170, 10))
        ),
        last_label="2 Mar",
        due_label="31 Dec",
        today_label="20 Aug",
        exit_label="Hours first, about 23 November",
    )
    return framed(limit_box(box))


def too_close_for_this_gauge() -> str:
    """A lever inside its limits, but nearer to one of them than the gauge can tell; where it is measured beside it."""
    limits = shipped_sheets()["velisk-130"].limits
    lever = next(row for row in limits if row.drawing == "lever-height")
    verdict = decide(
        READ_MM, lever.lower, lever.upper, resolution=STEP_MM, expanded_uncertainty=UNCERTAINTY_MM
    )
    assert verdict.decision is Decision.CANNOT_TELL
    return framed(where_to_measure(lever), _on_a_scale(verdict, lever.nominal))


def _on_a_scale(verdict: Verdict, nominal: float | None) -> str:
    """The reading with its gauge's uncertainty over the limits, and what to do."""
    lower, upper, sure = verdict.lower, verdict.upper, verdict.sure_between
    assert lower is not None and upper is not None and sure is not None
    half = verdict.instrument.expanded_uncertainty
    drawing = Drawing(360, 224, "The reading", f"{verdict.value:g} mm is too close to {upper:g} mm.")

    def x(value: float) -> float:
        return 30.0 + 300.0 * (value - 1.1) / 0.6

    drawing.text((8, 36), f"{verdict.value:g} mm", size=28)
    drawing.text((8, 62), f"Too close to {upper:g} mm for this gauge.", size=15)
    drawing.path([(x(lower), 110), (x(upper), 110), (x(upper), 128), (x(lower), 128)], "soft", closed=True)
    for limit in (lower, upper):
        drawing.line((x(limit), 102), (x(limit), 136), "ink")
        drawing.text((x(limit), 154), f"{limit:g}", anchor="middle")
    drawing.line((x(verdict.value - half), 119), (x(verdict.value + half), 119), "signal")
    drawing.text((x(verdict.value), 92), f"± {half:g} mm", anchor="middle")
    drawing.ellipse((x(verdict.value), 119), 5, 5, "signal-solid")
    drawing.text((8, 186), f"Surely inside from {sure.lower:.2f} to {sure.upper:.2f} mm.", size=15)
    drawing.text((8, 208), f"Reset to {nominal:g} mm, or use a finer gauge.", size=15)
    return drawing.svg()


def run_up_with_its_release() -> str:
    """A run-up on the ground: warm-up, idle, full throttle below this engine's usual speed, idle again."""
    t_s = np.arange(0.0, 200.0, 0.2)
    shape = np.interp(
        t_s,
        [0, 4, 40, 41, 70, 72, 100, 103, 140, 143, 200],
        [2600, 3000, 3000, 2050, 2050, 4800, 4800, 7620, 7640, 2050, 2050],
    )
    rpm = shape + 18.0 * np.sin(2.1 * t_s) + 11.0 * np.sin(5.3 * t_s)
    cht_c = np.interp(t_s, [0, 70, 103, 140, 200], [35.0, 105.0, 130.0, 182.0, 150.0])
    egt_c = np.interp(
        t_s, [0, 20, 40, 70, 76, 100, 110, 140, 150, 200], [60, 350, 370, 330, 430, 450, 575, 588, 430, 370]
    )
    run = analyse(make_trace(t_s, rpm), 7900.0)
    mark = Mark(1, 103.0, 140.0, "Full throttle 270 rpm below usual.")
    usual = Band(103.0, 140.0, 7840.0, 7960.0)
    strip = Strip("Run-up", t_s, rpm, cht_c, egt_c, run.phases, [usual], [mark])
    return framed(run_strip(strip))


def framed(*drawings: str) -> str:
    """Drawings in a row on white paper, so that they are read on a dark page too."""
    sizes = [re.search(r'width="([\d.]+)" height="([\d.]+)"', drawing) for drawing in drawings]
    widths, heights = zip(*((float(s[1]), float(s[2])) for s in sizes if s), strict=True)
    lefts = [MARGIN + sum(widths[:i]) + 2 * MARGIN * i for i in range(len(drawings))]
    width, height = lefts[-1] + widths[-1] + MARGIN, max(heights) + 2 * MARGIN
    placed = [
        drawing.replace("<svg ", f'<svg x="{left:g}" y="{MARGIN:g}" ', 1)
        for drawing, left in zip(drawings, lefts, strict=True)
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}" color="{INK}">\n<rect width="100%" height="100%" fill="{PAPER}"/>\n'
        + "\n".join(placed)
        + "\n</svg>\n"
    )


DRAWN: dict[str, Callable[[], str]] = {
    "limit-box.svg": due_by_hours_or_date,
    "too-close.svg": too_close_for_this_gauge,
    "run-up-strip.svg": run_up_with_its_release,
}

if __name__ == "__main__":
    for name, draw in DRAWN.items():
        (PICTURES / name).write_text(draw(), encoding="utf-8")
