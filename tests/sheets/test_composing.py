"""Fragments of many types become one complete sheet: joined, cut to the builds there are, laid over."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from tickover.sheets import SheetError, TypeSheet, load_sheet, shipped_sheets, shipped_texts
from tickover.sheets.composing import composed

TYPE = """
id = "t"
title = "T"
version = 1
notice = "Invented."
include = ["work/a.toml", "work/b.toml"]
builds = [
  { id = "hose", title = "Hose", traits = ["iron"], recognise = "By eye" },
  { id = "inner", title = "Inner", traits = ["plated", "rope"], recognise = "By eye" },
]
[geometry]
bore_mm = 66.0
"""
A = """
[[parts]]
id = "plug"
title = "Plug"
[[parts]]
id = "cap"
title = "Cap"
[[kits]]
id = "bag"
pieces = [{ part = "plug" }, { part = "cap", builds = ["motor"], laid_aside_because = "No motor." }]
"""
B = """
[[cards]]
id = "look"
[[cards.steps]]
id = "both"
findings = [{ id = "torn", builds = ["motor"] }, { id = "good" }]
[[cards.steps]]
id = "rope"
builds = ["rope", "motor"]
[[cards.steps]]
id = "motor"
builds = ["motor"]
"""
FILES = {"t.toml": TYPE, "work/a.toml": A, "work/b.toml": B}


def put_together(**changed: str) -> dict[str, object]:
    texts = FILES | {f"{name}.toml" if name == "t" else f"work/{name}.toml": t for name, t in changed.items()}

    def read(name: str) -> str:
        if name not in texts:
            raise FileNotFoundError(name)
        return texts[name]

    return tomllib.loads(composed("t.toml", read))


def test_what_is_included_stands_in_the_sheet_in_order() -> None:
    sheet = put_together()
    assert "include" not in sheet
    assert [row["id"] for row in sheet["parts"]] == ["plug", "cap"]  # type: ignore[index, attr-defined]
    assert set(sheet) <= set(TypeSheet.model_fields)


def test_rows_of_builds_this_type_does_not_have_are_left_out() -> None:
    both, rope = put_together()["cards"][0]["steps"]  # type: ignore[index]
    assert (rope["id"], rope["builds"]) == ("rope", ["rope"])
    assert [finding["id"] for finding in both["findings"]] == ["good"]


def test_a_piece_for_another_type_is_still_in_the_bag_and_laid_aside() -> None:
    pieces = put_together()["kits"][0]["pieces"]  # type: ignore[index]
    assert [piece.get("builds") for piece in pieces] == [None, ["none"]]


def test_a_row_of_the_type_is_laid_over_the_included_one_key_by_key() -> None:
    own = '[[parts]]\nid = "cap"\nmaterial = "rubber"\n[[parts]]\nid = "lead"\ntitle = "Lead"\n'
    assert put_together(t=TYPE + own)["parts"] == [
        {"id": "plug", "title": "Plug"},
        {"id": "cap", "title": "Cap", "material": "rubber"},
        {"id": "lead", "title": "Lead"},
    ]


def test_a_type_weighs_one_cause_otherwise_and_keeps_the_rest() -> None:
    table = '[faults]\nmean_causes = 1.2\n[[faults.causes]]\nid = "seal"\nweight = {}\n[[faults.causes]]\nid = "{}"\n'
    laid = put_together(a=table.format(3, "reed"), b="", t=TYPE + table.format(5, "plug"))["faults"]
    assert laid["causes"] == [{"id": "seal", "weight": 5}, {"id": "reed"}, {"id": "plug"}]  # type: ignore[index]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"t": TYPE.replace("work/b", "work/c")}, 't.toml, include: there is no file called "work/c.toml"'),
        ({"b": A}, "work/b.toml, parts.plug: another included file has a row of this id"),
        ({"b": "[[cards]\n"}, "work/b.toml: this is not TOML"),
    ],
)
def test_what_is_wrong_in_a_file_is_told_with_its_name(changed: dict[str, str], told: str) -> None:
    with pytest.raises(SheetError, match=re.escape(told)):
        put_together(**changed)


def test_a_complete_sheet_includes_nothing_and_composes_the_same_again() -> None:
    for name, text in shipped_texts().items():
        assert "include" not in tomllib.loads(text)
        assert composed(name, lambda _, text=text: text) == text  # type: ignore[misc]


def test_no_fragment_misspells_a_build() -> None:
    """A build no type has would drop its row from every sheet without a word."""
    work = files("tickover.sheets") / "shipped" / "work"
    known = {name for sheet in shipped_sheets().values() for build in sheet.builds for name in build.names}
    for entry in work.iterdir():
        lists = re.findall(r"^builds = \[(.*?)\]", entry.read_text(encoding="utf-8"), re.M | re.S)
        named = {word for words in lists for word in re.findall(r'"(.+?)"', words)}
        assert named <= known | {"none"}, entry.name


def test_rows_go_by_traits_as_well_as_by_build() -> None:
    sheet = shipped_sheets()["velisk-185"]
    later = sheet.for_build("electric-start")
    assert "pump-gasket-pulse" in {step.id for step in later.card("diaphragm-service").steps}
    assert "electric-starter" in {task.id for task in later.programme}
    assert "electric-starter" not in {task.id for task in sheet.for_build("internal-pulse").programme}
    used, aside = sheet.kit_for_build("diaphragm-kit", "electric-start")
    assert (used, aside) == sheet.kit_for_build("diaphragm-kit", "internal-pulse")
    hose = sheet.for_build("external-pulse").joint("intake-flange")
    assert "pulse" not in {hole.id for hole in hose.holes}


def test_a_sheet_someone_wrote_may_not_include() -> None:
    with pytest.raises(SheetError, match=r"own\.toml, include: is not a key of this table"):
        load_sheet(TYPE, "own.toml")
