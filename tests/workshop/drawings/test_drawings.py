"""The drawings: right in what they show, safe in what they contain, readable where they are read."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.engine_time.from_log import RunningPeriod
from tickover.sheets import Build, Fasteners, Hole, Joint, Layer, TypeSheet, shipped_sheets
from tickover.workshop.drawings import (
    LimitBox,
    exit_of,
    limit_box,
    noise_trace,
    screw_pattern,
    stack,
)
from tickover.workshop.drawings.drawing import STYLES, legible, wrapped
from tickover.workshop.drawings.noise_trace import POINTS, decimated
from tickover.workshop.drawings.screws import passes_in_words

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '<script>alert("1")</script> & \x00 ]]> \ud800'


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def words(svg: str) -> list[str]:
    return [text.text or "" for text in read(svg).iter(f"{SVG}text")]


def drawn(svg: str, style: str) -> list[ElementTree.Element]:
    return [mark for mark in read(svg).iter() if mark.get("class") == f"pic-{style}"]


def box(**changes: object) -> LimitBox:
    """A diaphragm kit, due after 100 h or 365 days, half way through both."""
    fan = tuple((180 + day, 250 + 0.1 * day, 250 + 0.2 * day, 250 + 0.4 * day) for day in range(0, 260, 20))
    diaphragms = LimitBox(
        title="Carburettor diaphragm kit",
        last_day=0,
        last_h=200,
        due_day=365,
        due_h=300,
        tolerance_days=30,
        tolerance_h=10,
        today=180,
        now_h=250,
        track=((60, 212.0), (120, 231.5)),
        fan=fan,
        last_label="3 Feb 2025",
        due_label="3 Feb 2026",
        today_label="2 Aug 2025",
    )
    return replace(diaphragms, **changes)


def fasteners(**changes: object) -> Fasteners:
    row: dict[str, object] = {
        "count": 4,
        "size": "M5",
        "pattern": "x",
        "authority": "common practice, no source",
    }
    return Fasteners(**(row | changes))


INTERNAL = Build(id="internal", title="Passage", recognise="no hose")
EXTERNAL = Build(id="external", title="Hose", recognise="a hose")


def inlet() -> Joint:
    return Joint(
        id="inlet",
        title="Inlet joint",
        holes=(Hole(id="pulse", title="Pulse passage"),),
        fasteners=fasteners(count=2, pattern="pair", torque_nm=10, torque_max_nm=10),
        stack=(
            Layer(title="Inlet flange", kind="plate", holes=("pulse",)),
            Layer(title="Hose plate", kind="plate", builds=("external",)),
            Layer(title="Flange gasket", kind="gasket", holes=("pulse",)),
            Layer(title="Crankcase", kind="body", holes=("pulse",)),
        ),
    )


ALL = {
    "large box": limit_box(box(title=HOSTILE, exit_label=HOSTILE)),
    "small box": limit_box(box(title=HOSTILE), size="small"),
    "stack": stack(inlet(), INTERNAL, [HOSTILE, "Flange gasket, rubberised"]),
    "screws": screw_pattern(fasteners(note=HOSTILE), title=HOSTILE),
    "noise": noise_trace(
        np.arange(10.0),
        np.arange(10.0),
        [RunningPeriod(2, 4, 3.0, 0.0)],
        [RunningPeriod(6, 7, 6.0, 0.0)],
        5,
        3,
        "10:00",
    ),
}


@pytest.mark.parametrize("svg", ALL.values(), ids=ALL.keys())
def test_a_drawing_is_one_named_image(svg: str) -> None:
    """Named by a title that is its first child: SVG Accessibility API Mappings 1.0."""
    root = read(svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert all((child.text or "").strip() for child in list(root)[:2])


@pytest.mark.parametrize("svg", ALL.values(), ids=ALL.keys())
def test_a_drawing_carries_nothing_that_a_strict_policy_blocks(svg: str) -> None:
    """Content Security Policy 3: `style-src 'self'` blocks style attributes; no scripts or links either."""
    for element in read(svg).iter():
        assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "line", "path", "ellipse", "text"}
        assert not {"style", "id", "href", "onload", "onclick"} & set(element.attrib)


@pytest.mark.parametrize("name", ["large box", "stack", "screws", "noise"])
def test_words_in_a_drawing_are_12_px_or_more(name: str) -> None:
    texts = list(read(ALL[name]).iter(f"{SVG}text"))
    assert texts
    assert all(float(text.get("font-size", "0")) >= 12 for text in texts)
    assert float(read(ALL[name]).get("width", "0")) <= 360


def test_the_signal_colour_is_readable_on_white_paper() -> None:
    """Contrast as WCAG 2.2 defines it (relative luminance, success criterion 1.4.3: 4.5 to 1)."""
    channels = [int(STYLES["signal"]["stroke"][at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    luminance = sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    assert 1.05 / (luminance + 0.05) >= 4.5


@given(st.text())
def test_any_name_leaves_a_drawing_well_formed(name: str) -> None:
    svg = limit_box(box(title=name, exit_label=name, today_label=name))
    assert read(svg).findtext(f"{SVG}title", "").split() == legible(name).split()


def test_long_names_are_wrapped_and_cut() -> None:
    assert wrapped("Flange gasket, rubberised", 94, 12) == ["Flange", "gasket,", "rubberised"]
    assert wrapped("x" * 100, 94, 12, most=2)[-1].endswith("…")
    assert wrapped("80\N{NO-BREAK SPACE}h of use", 40, 12)[0] == "80\N{NO-BREAK SPACE}h"
    assert wrapped("", 94, 12) == []


# --- limit box


def test_the_calendar_comes_first_for_an_engine_that_flies_little() -> None:
    leaving = exit_of(box())
    assert leaving is not None
    assert (leaving.side, leaving.recorded) == ("calendar", False)
    assert leaving.day == 365
    assert leaving.h == pytest.approx(250 + 0.2 * 185)


def test_the_hours_come_first_for_an_engine_that_flies_much() -> None:
    leaving = exit_of(box(fan=((180, 250, 250, 250), (380, 300, 350, 420))))
    assert leaving is not None
    assert (leaving.side, leaving.h) == ("hours", 300)
    assert leaving.day == pytest.approx(280)


def test_an_engine_that_stands_still_leaves_no_exit_within_its_fan() -> None:
    assert exit_of(box(due_day=None, fan=((200, 250, 250, 250), (400, 250, 250, 250)))) is None


def test_an_engine_run_past_its_hours_is_marked_where_it_left_and_where_it_stands() -> None:
    overrun = box(now_h=318.0)
    leaving = exit_of(overrun)
    assert leaving is not None and leaving.recorded and leaving.side == "hours"
    assert 120 < leaving.day < 180
    svg = limit_box(overrun)
    assert len(drawn(svg, "signal")) == len(drawn(svg, "signal-solid")) == 1
    assert "already" in (read(svg).findtext(f"{SVG}desc") or "")


def test_a_task_due_on_the_very_day_it_was_done_is_out_of_its_box() -> None:
    leaving = exit_of(box(due_day=0))
    assert leaving is not None and leaving.recorded and leaving.day == 0


@pytest.mark.parametrize(
    "case",
    [
        box(today=4000, now_h=2000),
        box(due_h=None),
        box(due_day=None),
        box(due_h=None, due_day=None),
        box(today=0, now_h=200, track=(), fan=()),
        box(now_h=150),
        box(tolerance_days=0, tolerance_h=0),
    ],
    ids=[
        "far over",
        "calendar only",
        "hours only",
        "no limit",
        "just done",
        "meter set back",
        "no tolerance",
    ],
)
@pytest.mark.parametrize("size", ["small", "large"])
def test_every_mark_stays_on_the_paper(case: LimitBox, size: str) -> None:
    root = read(limit_box(case, size="small" if size == "small" else "large"))
    width, height = float(root.get("width", "0")), float(root.get("height", "0"))
    for mark in root.iter():
        points = re.findall(r"(-?[\d.]+) (-?[\d.]+)", mark.get("d", ""))
        points += [
            (mark.get(x), mark.get(y)) for x, y in (("x1", "y1"), ("x2", "y2"), ("cx", "cy")) if mark.get(x)
        ]
        for x, y in points:
            assert 0 <= float(x) <= width
            assert 0 <= float(y) <= height


def test_tolerance_is_dashed_and_absent_where_there_is_none() -> None:
    assert len(drawn(limit_box(box()), "dash")) == 2
    assert len(drawn(limit_box(box(due_h=None)), "dash")) == 1
    assert not drawn(limit_box(box(tolerance_days=0, tolerance_h=0)), "dash")


def test_the_small_box_has_no_words_and_tells_them_to_a_screen_reader() -> None:
    svg = limit_box(box(), size="small")
    assert (read(svg).get("width"), read(svg).get("height")) == ("96", "64")
    assert not words(svg)
    assert "Due: 300 h or 3 Feb 2026, whichever comes first." in (read(svg).findtext(f"{SVG}desc") or "")


def test_the_large_box_names_limits_and_today() -> None:
    assert {"200 h", "300 h", "250 h", "3 Feb 2025", "3 Feb 2026", "2 Aug 2025"} <= set(
        words(limit_box(box()))
    )


def test_the_same_box_is_drawn_the_same() -> None:
    assert limit_box(box()) == limit_box(box())


# --- screws


def test_the_plastic_flange_says_10_newton_metres_and_no_more() -> None:
    said = " ".join(passes_in_words(inlet().fasteners))
    assert "Torque: 10 N·m. Never more than 10 N·m." in said


def test_cover_screws_go_snug_first_then_in_small_steps() -> None:
    assert passes_in_words(fasteners())[0].startswith("First snug")
    assert "no figure on the sheet" in passes_in_words(fasteners())[1]


def test_a_sheet_that_says_how_to_begin_is_not_talked_over() -> None:
    said = passes_in_words(fasteners(note="Snug by hand, then a quarter turn each."))
    assert [sentence for sentence in said if "snug" in sentence.lower()] == [
        "Snug by hand, then a quarter turn each."
    ]


def test_a_torque_that_is_not_the_makers_says_so() -> None:
    assert "Source: common practice, no source. The maker's manual comes first." in passes_in_words(
        fasteners()
    )
    assert "Source" not in " ".join(passes_in_words(fasteners(authority="maker")))


def test_passes_are_told_in_newton_metres() -> None:
    assert "Passes: 4.5, 9 N·m." in passes_in_words(fasteners(torque_nm=9, passes=(0.5, 1.0)))


def test_each_screw_carries_its_number() -> None:
    assert {"1", "2", "3", "4", "5", "6", "6 × M5"} <= set(words(screw_pattern(fasteners(count=6))))


# --- stack


def test_a_stack_shows_only_the_layers_of_its_build() -> None:
    internal, external = stack(inlet(), INTERNAL), stack(inlet(), EXTERNAL)
    assert "Hose plate" not in " ".join(words(internal))
    assert "2 Hose plate" in " ".join(" ".join(words(external)).split())


def test_holes_that_must_line_up_are_joined_through_all_layers_that_carry_them() -> None:
    svg = stack(inlet(), INTERNAL)
    (line,) = drawn(svg, "dots")
    assert line.get("x1") == line.get("x2")
    centres = [mark.get("cy") for mark in drawn(svg, "ink") if mark.tag == f"{SVG}ellipse"]
    assert len(centres) == 3
    assert {line.get("y1"), line.get("y2")} == {centres[0], centres[-1]}


def test_pieces_laid_aside_are_named() -> None:
    svg = stack(inlet(), INTERNAL, ["Flange gasket, rubberised", "O-ring"])
    assert {"Not used:", "not this build", "O-ring"} <= set(words(svg))
    assert "Not used by this build: Flange gasket" in (read(svg).findtext(f"{SVG}desc") or "")
    assert "Not used:" not in words(stack(inlet(), INTERNAL))


@pytest.mark.parametrize("sheet", shipped_sheets().values(), ids=lambda sheet: sheet.id)
def test_every_joint_of_every_shipped_sheet_can_be_drawn(sheet: TypeSheet) -> None:
    for build in sheet.builds:
        for joint in sheet.for_build(build.id).joints:
            assert read(stack(joint, build, ["Gasket"])).findtext(f"{SVG}title") == joint.title
            assert words(screw_pattern(joint.fasteners))


# --- noise trace


@settings(max_examples=20)
@given(st.integers(0, 2**32), st.integers(2, 20_000))
def test_thinning_keeps_every_extreme_that_could_be_seen(seed: int, count: int) -> None:
    level = np.random.default_rng(seed).random(count)
    kept = decimated(level)
    assert kept.size <= max(POINTS, 2)
    assert np.all(np.diff(kept) > 0)
    assert level[kept].max() == level.max()
    assert level[kept].min() == level.min()


def test_runs_are_shaded_doubtful_stretches_outlined_and_the_clock_is_the_readers() -> None:
    t_s = np.arange(36_000.0, 36_000 + 5_400, 4)
    svg = noise_trace(
        t_s,
        np.full(t_s.size, 40.0),
        [RunningPeriod(36_600, 38_400, 800, 0.0)],
        [RunningPeriod(39_000, 39_060, 400, 0.0)],
        500,
        300,
        "11:55",
    )
    assert len(drawn(svg, "shade")) == 1
    assert len(drawn(svg, "dash")) == 1 + 2
    assert words(svg)[:4] == ["on 500", "off 300", "12:00", "12:15"]
    assert (
        read(svg).findtext(f"{SVG}desc")
        == "From 11:55: 1 engine run, 30 min in all; 1 doubtful, shown but not counted."
    )


def test_a_log_that_runs_past_midnight_keeps_a_24_hour_clock() -> None:
    t_s = np.arange(0.0, 7_200, 4)
    assert "00:00" in words(noise_trace(t_s, t_s, [], [], 500, 300, "23:30:00"))


def test_pictures_know_no_web_framework_and_no_database() -> None:

    import tickover.workshop.drawings as drawings

    for source in Path(drawings.__file__).parent.glob("*.py"):
        assert not re.search(
            r"^\s*(from|import) (django|sqlite3|datetime|random)", source.read_text(), re.M
        ), source
