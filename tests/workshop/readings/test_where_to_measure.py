"""The drawings of where a reading is taken: they carry the limit of the sheet, and say what makes it safe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args
from xml.etree import ElementTree

import pytest

from tickover.sheets import LimitRow, shipped_sheets
from tickover.workshop.drawings.measuring import PLATES, span_in_words, where_to_measure

MEASURED = sorted({limit.drawing for sheet in shipped_sheets().values() for limit in sheet.limits} - {""})
SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Limit:
    """As much of a limit as its drawing needs."""

    drawing: str
    lower: float | None = 1.2
    upper: float | None = 1.6
    unit: str = "mm"
    title: str = "Metering lever height"
    makers_figure: bool = False
    authority: str = "from memory"


def words(svg: str) -> str:
    return " ".join(text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text"))


def draw(limit: Limit) -> str:
    return where_to_measure(limit)  # type: ignore[arg-type]


def test_every_drawing_a_sheet_may_name_exists() -> None:
    named = set(get_args(LimitRow.model_fields["drawing"].annotation)) - {""}
    assert named == set(PLATES)


@pytest.mark.parametrize("drawing", MEASURED)
def test_a_drawing_carries_the_limit_and_says_it_is_not_to_scale(drawing: str) -> None:
    said = words(draw(Limit(drawing)))
    assert "1.2 to 1.6 mm" in said
    assert "Not to scale." in said


def test_a_lever_counted_from_the_chamber_floor_is_drawn_with_a_straightedge() -> None:
    flush = words(draw(Limit("lever-height", lower=-0.2, upper=0.2)))
    assert "Straightedge" in flush and "−0.2 to 0.2 mm" in flush
    assert "Depth gauge" in words(draw(Limit("lever-height")))


@pytest.mark.parametrize("drawing", ["squish", "blade-track"])
def test_where_the_crank_is_turned_by_hand_the_plug_is_out_first(drawing: str) -> None:
    said = words(draw(Limit(drawing))).casefold()
    assert "plug out" in said and "ignition grounded" in said


@pytest.mark.parametrize(
    ("lower", "upper", "said"),
    [(None, 1.6, "at most 1.6 mm"), (0.5, None, "at least 0.5 mm"), (-0.2, 0.2, "−0.2 to 0.2 mm")],
)
def test_a_limit_open_on_one_side_is_said_as_such(
    lower: float | None, upper: float | None, said: str
) -> None:
    assert span_in_words(Limit("squish", lower, upper)) == said  # type: ignore[arg-type]


def test_an_unknown_drawing_is_an_error_and_no_empty_picture() -> None:
    with pytest.raises(KeyError):
        draw(Limit("a-drawing-nobody-made"))
