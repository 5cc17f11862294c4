"""The run-up strip as a picture: axes, units, phases, holes where nothing was read, marks told by more than colour."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from tickover.science.run_up import analyse, make_trace
from tickover.workshop.drawings.run_strip import LEFT, RIGHT, Band, Mark, Strip, run_strip

SVG = "{http://www.w3.org/2000/svg}"
T_S = np.arange(0.0, 100.0, 0.2)
RPM = np.interp(T_S, [0, 30, 31, 80, 81, 100], [2050, 2050, 7900, 7900, 2050, 2050])
CHT_C = np.interp(T_S, [0, 31, 80, 100], [110.0, 120.0, 185.0, 150.0])
EGT_C = np.interp(T_S, [0, 31, 40, 80, 100], [380.0, 390.0, 575.0, 580.0, 420.0])


def strip(**more: Any) -> Strip:
    run = analyse(make_trace(T_S, RPM), 7900.0)
    given = {"cht_c": CHT_C, "egt_c": EGT_C, "phases": run.phases} | more
    return Strip("Outer, 04 May 2025", T_S, given.pop("rpm", RPM), **given)


def drawn(svg: str) -> ElementTree.Element:
    assert not re.search(r"\b(nan|inf)\b", svg, re.IGNORECASE)
    return ElementTree.fromstring(svg)


def words(svg: str) -> list[str]:
    return [element.text or "" for element in drawn(svg).iter(f"{SVG}text")]


def paths(svg: str, style: str) -> list[np.ndarray[Any, Any]]:
    """Points of every open line of a style."""
    lines = [e.get("d", "") for e in drawn(svg).iter(f"{SVG}path") if e.get("class") == f"pic-{style}"]
    return [
        np.array([[float(v) for v in p.split()] for p in d[1:].split(" L")]) for d in lines if "Z" not in d
    ]


def test_both_axes_name_their_unit_and_the_time_its_own() -> None:
    said = words(run_strip(strip()))
    assert {"rpm", "°C", "minutes and seconds of the run", "8000", "0:00", "1:00"} <= set(said)


def test_phases_stand_by_name_over_the_line() -> None:
    said = words(run_strip(strip()))
    assert said.count("idle") == 2 and "full" in said


def test_a_point_of_the_line_is_where_time_and_speed_put_it() -> None:
    # Both axes are linear: half of the run is half of the way, 7900 rpm is 79 tenths of the way from 0 to 8000.
    line = np.vstack(paths(run_strip(strip()), "ink"))
    axis = next(p for p in paths(run_strip(strip()), "hair") if len(p) == 3)
    top, foot = axis[0, 1], axis[1, 1]
    per_rpm = (foot - line[np.argmin(np.abs(line[:, 0] - (LEFT + RIGHT) / 2)), 1]) / 7900.0
    assert line[:, 0].min() == pytest.approx(LEFT, abs=0.1) and line[:, 0].max() == pytest.approx(
        RIGHT, abs=0.1
    )
    assert (foot - line[0, 1]) / per_rpm == pytest.approx(2050.0, rel=0.01)
    assert foot - 9000.0 * per_rpm == pytest.approx(top, abs=0.5)  # the axis ends at the next thousand


def test_no_line_is_drawn_where_samples_are_missing() -> None:
    rpm = RPM.copy()
    rpm[(T_S > 50) & (T_S < 53)] = np.nan
    whole, holed = (paths(run_strip(strip(rpm=r)), "ink") for r in (RPM, rpm))
    assert (len(whole), len(holed)) == (1, 2)
    per_s = (RIGHT - LEFT) / T_S[-1]
    assert holed[1][0, 0] - holed[0][-1, 0] == pytest.approx(3.0 * per_s, abs=1.0)


def test_a_hole_in_time_breaks_the_line_too() -> None:
    kept = (T_S < 50) | (T_S > 51.5)
    part = Strip("holed", T_S[kept], RPM[kept])
    assert len(paths(run_strip(part), "ink")) == 2


def test_a_slow_logger_is_drawn_through() -> None:
    slow = np.arange(0.0, 100.0, 2.0)
    svg = run_strip(Strip("slow", slow, np.interp(slow, T_S, RPM)))
    assert len(paths(svg, "ink")) == 1


def test_a_run_without_temperatures_has_no_axis_for_them() -> None:
    said = words(run_strip(strip(cht_c=None, egt_c=None)))
    assert "°C" not in said and "CHT" not in said
    missing = run_strip(strip(cht_c=np.full(T_S.size, np.nan), egt_c=None))
    assert "°C" not in words(missing)


def test_channels_differ_by_weight_dash_and_name_and_not_by_colour() -> None:
    svg = run_strip(strip())
    assert {"CHT", "EGT"} <= set(words(svg))
    looks = {
        (e.get("stroke"), e.get("stroke-width"), e.get("stroke-dasharray"))
        for e in drawn(svg).iter(f"{SVG}path")
        if e.get("class") in ("pic-ink", "pic-track", "pic-dash")
    }
    assert len(looks) == 3 and len({colour for colour, _, _ in looks}) == 1


def test_a_mark_carries_its_number_and_its_words_for_who_sees_no_colour() -> None:
    marks = [Mark(1, 40.0, 60.0, "Full throttle 260 rpm below usual."), Mark(2, 60.0, 80.0, "Head warm.")]
    svg = run_strip(strip(marks=marks))
    assert {"1", "2"} <= set(words(svg))
    desc = drawn(svg).findtext(f"{SVG}desc") or ""
    assert "Mark 1: Full throttle 260 rpm below usual." in desc and "Mark 2: Head warm." in desc
    lowest_mark = max(line[:, 1].max() for line in paths(svg, "signal"))
    assert lowest_mark < min(line[:, 1].min() for line in paths(svg, "ink"))  # never over the line


def test_a_band_is_dashed_as_well_as_shaded() -> None:
    svg = run_strip(strip(bands=[Band(31.0, 80.0, 7800.0, 8000.0)], cht_c=None, egt_c=None))
    classes = [e.get("class") for e in drawn(svg).iter(f"{SVG}path")]
    assert "pic-shade" in classes and "pic-dash" in classes


def test_a_second_run_is_broken_and_named() -> None:
    other = Strip("Outer, 11 May 2025", T_S + 3.0, RPM - 300.0)
    svg = run_strip(strip(), None, other)
    assert paths(svg, "course") and "Dashed line: Outer, 11 May 2025." in (
        drawn(svg).findtext(f"{SVG}desc") or ""
    )


@pytest.mark.parametrize("window", [(31.0, 80.0), (0.0, 0.5), (79.9, 80.4)])
def test_a_window_is_filled_from_edge_to_edge(window: tuple[float, float]) -> None:
    line = np.vstack(paths(run_strip(strip(), window), "ink"))
    assert line[:, 0].min() == pytest.approx(LEFT, abs=0.5) and line[:, 0].max() == pytest.approx(
        RIGHT, abs=0.5
    )


def test_a_name_cannot_become_markup() -> None:
    svg = run_strip(strip(marks=[Mark(1, 1.0, 2.0, "<script>alert(1)</script> & \x00")]))
    assert "<script>" not in svg and "&lt;script&gt;" in svg


def test_a_long_run_is_drawn_with_so_many_points_as_a_screen_can_show() -> None:
    t = np.arange(0.0, 7200.0, 0.05)
    svg = run_strip(Strip("long", t, 2000.0 + 5000.0 * (np.sin(t / 30.0) > 0)))
    assert len(svg) < 60_000 and len(np.vstack(paths(svg, "ink"))) <= 1202
