"""The face of the pages: it comes with the program, its figures have one width, and its licence is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

WEIGHTS = ("regular", "semibold")
SIGNS = "\N{DEGREE SIGN}\N{PLUS-MINUS SIGN}\N{MINUS SIGN}\N{MULTIPLICATION SIGN}\N{MIDDLE DOT}\u03a9"
ARROWS = (
    "\N{LEFTWARDS ARROW}\N{RIGHTWARDS ARROW}\N{CHECK MARK}\N{LESS-THAN OR EQUAL TO}\N{HORIZONTAL ELLIPSIS}"
)


def static(name: str) -> Path:
    found = finders.find(name)
    assert found, f"{name} is not served"
    return Path(str(found))


@pytest.mark.parametrize("weight", WEIGHTS)
def test_every_figure_has_the_same_width(weight: str) -> None:
    font = TTFont(static(f"fonts/tickover-sans-{weight}.woff"))
    names, widths = font.getBestCmap(), font["hmtx"].metrics
    assert len({widths[names[ord(figure)]][0] for figure in "0123456789"}) == 1


@pytest.mark.parametrize("weight", WEIGHTS)
def test_it_has_the_signs_of_the_trade_and_the_letters_of_european_names(weight: str) -> None:
    known = TTFont(static(f"fonts/tickover-sans-{weight}.woff")).getBestCmap()
    assert not [sign for sign in SIGNS + ARROWS + "äßéøłşžÅ" if ord(sign) not in known]


@pytest.mark.parametrize("weight", WEIGHTS)
def test_the_cut_down_face_does_not_carry_the_name_its_licence_keeps(weight: str) -> None:
    font = TTFont(static(f"fonts/tickover-sans-{weight}.woff"))
    family = {font["name"].getDebugName(number) for number in (1, 4, 6, 16)} - {None}
    assert not [name for name in family if "Source" in str(name)]
    assert "SIL Open Font License, Version 1.1" in static("fonts/OFL.txt").read_text()


def test_the_face_is_served_by_the_program_alone() -> None:
    sheet = static("css/typeface.css")
    addresses = re.findall(r'url\("([^"]+)"\)', sheet.read_text())
    assert len(addresses) == len(WEIGHTS)
    assert all((sheet.parent / address).resolve().is_file() for address in addresses)


def test_both_weights_together_stay_small() -> None:
    assert sum(static(f"fonts/tickover-sans-{weight}.woff").stat().st_size for weight in WEIGHTS) < 64_000
