"""The plates: every one is legible, says what it shows, and has no figure but the sheet's own."""

from __future__ import annotations

import re
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import pytest
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from tickover.formats.text.units import printed
from tickover.sheets import LimitRow, TypeSheet, shipped_sheets
from tickover.sheets.schema.drawings import DrawingName
from tickover.workshop.drawings.measuring import PLATES, plate, span_in_words, where_to_measure

SVG = "{http://www.w3.org/2000/svg}"
MARGIN = 1.06
"""The paper's face runs a little wider than the pages'."""
A_FIGURE = re.compile(r"\d\s?(mm|bar|N·m|rpm|Hz|°C|deg|kgf|ohm|kohm|turns|min\b|s\b|%|h\b)")
SHEETS = [*shipped_sheets().values()]


def builds() -> list[TypeSheet]:
    return [sheet.for_build(build.id) for sheet in SHEETS for build in sheet.builds]


@cache
def named() -> list[tuple[str, tuple[LimitRow, ...]]]:
    """Every plate as it is drawn for some build: by its limit, or by an act with its figures."""
    found = []
    for sheet in builds():
        here = {limit.id: limit for limit in sheet.limits}
        found += [(limit.drawing, (limit,)) for limit in sheet.limits if limit.drawing]
        found += [
            (act.drawing, tuple(here[name] for name in act.figures if name in here))
            for act in sheet.acts
            if act.drawing
        ]
    return found


@cache
def letters() -> dict[str, float]:
    font = TTFont(Path(str(finders.find("fonts/tickover-sans-semibold.woff"))))
    names, widths = font.getBestCmap(), font["hmtx"].metrics
    return {chr(code): widths[name][0] / font["head"].unitsPerEm for code, name in names.items()}


def boxes(svg: str) -> list[tuple[float, float, float, float, str]]:
    """Every text with its place: left, top, right, bottom. [px]"""
    found = []
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        words = " ".join((text.text or "").split())
        size, x, y = (float(text.get(key, 0)) for key in ("font-size", "x", "y"))
        assert size >= 12, f"{words!r} is too small to read at arm's length"
        wide = sum(letters()[letter] for letter in words) * size * MARGIN
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
        found.append((left, y - 0.75 * size, left + wide, y + 0.2 * size, words))
    return found


def words(svg: str) -> str:
    return " ".join(box[4] for box in boxes(svg))


def test_a_sheet_may_name_every_plate_and_nothing_else() -> None:
    assert set(get_args(DrawingName)) - {""} == set(PLATES)


@pytest.mark.parametrize("name", PLATES)
def test_every_plate_is_drawn_for_some_engine(name: str) -> None:
    assert name in {drawn for drawn, _ in named()}, "no shipped sheet shows it"


@pytest.mark.parametrize("name", PLATES)
def test_no_words_leave_the_paper_or_lie_on_others(name: str) -> None:
    for limits in {limits for drawn, limits in named() if drawn == name}:
        placed = boxes(plate(name, limits))
        for left, _, right, _, said in placed:
            assert left >= 0 and right <= 360, f"{said!r} runs off the paper"
        for one, other in combinations(placed, 2):
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, f"{one[4]!r} lies on {other[4]!r}"


@pytest.mark.parametrize("name", PLATES)
def test_a_plate_says_what_it_shows_to_who_cannot_see_it(name: str) -> None:
    root = ElementTree.fromstring(plate(name))
    assert root.get("role") == "img" and root.get("width") == "360"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text == PLATES[name].title
    assert desc is not None and len(desc.text or "") > 5


@pytest.mark.parametrize("name", PLATES)
def test_a_plate_without_a_limit_has_no_figure_of_its_own(name: str) -> None:
    said = words(plate(name))
    assert not A_FIGURE.search(said), "a figure of an engine is never in the code"
    assert "Common practice." in said


def test_what_a_plate_shows_are_the_limits_of_that_build() -> None:
    for sheet in builds():
        for limit in sheet.limits:
            if not limit.drawing:
                continue
            said = words(where_to_measure(limit))
            assert span_in_words(limit) in said, f"{sheet.id}: {limit.id}"
            others = set(A_FIGURE.findall(said.replace(span_in_words(limit), "")))
            assert not others, f"{limit.id} shows figures besides its own: {others}"
            assert not limit.makers_figure


def test_a_figure_of_an_act_is_a_limit_of_its_sheet() -> None:
    seen = 0
    for name, limits in named():
        said = words(plate(name, limits))
        for limit in limits[:1]:
            ends = [f"{end:g}" for end in (limit.lower, limit.upper) if end is not None]
            assert all(end.lstrip("-") in said for end in ends), f"{name} leaves out {limit.id}"
            assert printed(limit.unit) in said
            seen += 1
    assert seen > 100


def test_a_limit_of_the_maker_is_not_called_common_practice() -> None:
    limit = next(limit for limit in SHEETS[0].limits if limit.drawing == "squish")
    makers = limit.model_copy(update={"authority": "maker"})
    assert "Common practice" in words(where_to_measure(limit))
    assert "Common practice" not in words(where_to_measure(makers))
    assert "Not to scale." in words(where_to_measure(makers))


def test_an_unknown_plate_is_an_error_and_no_empty_drawing() -> None:
    with pytest.raises(KeyError):
        plate("a-drawing-nobody-made")
