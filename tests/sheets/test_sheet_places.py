"""Whatever single key is spoilt in a sheet, the error names its table, its key and its line."""

from __future__ import annotations

import re
import tomllib
from functools import reduce
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.sheets import Problem, SheetError, load_sheet
from tickover.sheets.places import Loc, key_lines, line_of, named
from tickover.sheets.reading import sheet_data

FILE = "type-sheets.md"
DOCUMENT = (Path(__file__).parents[2] / "docs" / FILE).read_text()
TEXT = "\n".join(re.findall(r"^```toml\n(.*?)^```", DOCUMENT, re.M | re.S))
LINES = TEXT.splitlines()
DATA = tomllib.loads(TEXT)
KEYS = {loc: n for loc, n in key_lines(TEXT).items() if re.match(r"\w+ = ", LINES[n - 1])}


def on_one_line(line: str) -> bool:
    try:
        return bool(tomllib.loads(line))
    except tomllib.TOMLDecodeError:
        return False


ONE_LINERS = sorted((n, loc) for loc, n in KEYS.items() if on_one_line(LINES[n - 1]))


def problems_when(line: int, becomes: str) -> tuple[Problem, ...]:
    spoilt = "\n".join([*LINES[: line - 1], becomes, *LINES[line:]])
    with pytest.raises(SheetError) as caught:
        load_sheet(spoilt, FILE)
    return caught.value.problems


@given(st.sampled_from(sorted(KEYS.items(), key=lambda item: item[1])))
def test_a_key_written_wrongly_is_told(place: tuple[Loc, int]) -> None:
    loc, line = place
    told = problems_when(line, LINES[line - 1].replace(str(loc[-1]), f"{loc[-1]}zz", 1))
    keys = [problem.key for problem in told if problem.line == line and "not a key" in problem.message]
    assert len(keys) == 1
    assert keys[0].startswith(str(loc[0])) and keys[0].endswith(f"{loc[-1]}zz")


@given(st.sampled_from(ONE_LINERS), st.sampled_from(["1979-05-27", "{ x = 1 }", "nan", "[[1]]"]))
def test_a_value_of_the_wrong_sort_is_told(place: tuple[int, Loc], value: str) -> None:
    line, loc = place
    told = problems_when(line, f"{loc[-1]} = {value}")
    keys = [problem.key for problem in told if problem.line == line]
    assert keys
    assert all(key.startswith(str(loc[0])) and str(loc[-1]) in key for key in keys)


def test_every_place_is_where_a_toml_reader_finds_it() -> None:
    """Independent check: the standard library's TOML reader finds a value at each place."""

    def step_into(value: Any, key: str | int) -> Any:
        return value[key]

    for loc, line in key_lines(TEXT).items():
        value = reduce(step_into, loc, DATA)
        if loc in KEYS and on_one_line(LINES[line - 1]):
            assert tomllib.loads(LINES[line - 1]) == {loc[-1]: value}


def test_a_row_goes_by_its_id_and_what_is_inside_by_its_position() -> None:
    data = {"cards": [{"id": "plug", "steps": [{"id": "a"}, {"id": "b"}]}], "limits": [{"title": "no id"}]}
    assert named(("cards", 0, "steps", 1, "reading"), data) == "cards.plug.steps[2].reading"
    assert named(("cards", 0, "id"), data) == "cards[1].id"
    assert named(("limits", 0, "unit"), data) == "limits[1].unit"
    assert named(("title",), data) == "title"


def test_text_over_several_lines_hides_no_keys_and_shows_none() -> None:
    text = 'a = """\nb = 1\n[c]\n"""\nd = 2\n[[e]]\nf = 1\n[[e]]\nf = 2\n[e.g]\nh = 3\n'
    assert key_lines(text) == {
        ("a",): 1,
        ("d",): 5,
        ("e", 0): 6,
        ("e", 0, "f"): 7,
        ("e", 1): 8,
        ("e", 1, "f"): 9,
        ("e", 1, "g"): 10,
        ("e", 1, "g", "h"): 11,
    }


def test_a_finding_in_one_line_is_told_with_the_line_of_its_list() -> None:
    lines = key_lines("[[cards]]\n[[cards.steps]]\nfindings = [\n  { id = 1 },\n]\n")
    assert line_of(("cards", 0, "steps", 0, "findings", 0, "id"), lines) == 3
    assert line_of(("limits",), lines) is None


def test_a_key_by_its_earlier_name_is_read_and_found() -> None:
    """Workshops keep the text they worked by; `authority` was once called `standing`."""
    earlier = TEXT.replace("authority = ", "standing = ")
    assert earlier != TEXT
    assert sheet_data(earlier) == DATA
    assert key_lines(earlier) == key_lines(TEXT)
    assert load_sheet(earlier, FILE) == load_sheet(TEXT, FILE)


def test_a_key_by_both_its_names_is_refused() -> None:
    both = TEXT.replace("authority = ", 'standing = "maker"\nauthority = ', 1)
    with pytest.raises(SheetError, match=r"standing: is not a key of this table"):
        load_sheet(both, FILE)
