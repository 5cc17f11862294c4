"""The sketch by which a build is recognised."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from tickover.sheets import load_sheet, shipped_texts
from tickover.workshop.drawings.build_look import MARKS, build_look


def desc_of(svg: str) -> str:
    return ElementTree.fromstring(svg).findtext("{http://www.w3.org/2000/svg}desc") or ""


def test_a_build_of_which_nothing_can_be_drawn_has_no_sketch() -> None:
    assert build_look("Odd", ["gear", "plated-bore"]) == ""


@pytest.mark.parametrize("trait", MARKS)
def test_each_mark_is_drawn_and_said(trait: str) -> None:
    other = next(t for t in MARKS if t != trait)
    svg = build_look("Build", [trait])
    assert desc_of(svg) == MARKS[trait][0]
    assert svg != build_look("Build", [other]) and svg.count("<") < build_look("Build", list(MARKS)).count(
        "<"
    )


def test_no_two_builds_of_a_shipped_type_look_alike() -> None:
    for name, text in shipped_texts().items():
        builds = load_sheet(text, name).builds
        looks = [build_look("Build", [*b.traits, b.id]) for b in builds]
        assert all(looks) and len(set(looks)) == len(looks), name
