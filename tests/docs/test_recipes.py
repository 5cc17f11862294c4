"""What people add is found where the recipes in CONTRIBUTING send them: each step left out fails a test."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

from tickover.formats import gpx, hours_csv, igc
from tickover.formats.audio import sound_file
from tickover.formats.logger import columns, csv_table
from tickover.formats.typed_table import reading
from tickover.sheets.schema.limits import COMPUTED_FROM, Computed
from tickover.workshop.photos import opening
from tickover.workshop.run_ups.uploads import evidence
from tickover.workshop.takeover import sorting_in

ROOT = Path(__file__).resolve().parents[2]
FORMATS = ROOT / "src" / "tickover" / "formats"
KINDS = sorted(set(get_args(Computed)) - {""})
FILES_PAGE = (ROOT / "docs" / "files-it-reads.md").read_text(encoding="utf-8")
NO_FILES = ("text", "amount.py", "igc_fixes.py")
"""Of `formats`: what reads a number, a date or a part of a file, and no file."""
READS = {
    "read_igc": "IGC flight log",
    "read_gpx": "GPX track",
    "read_logger_csv": "engine logger's table",
    "read_table": "engine logger's table",
    "read_hours_csv": "table of typed hours",
    "read_typed_table": "table of services or engines",
    "read_pasted_rows": "table of services or engines",
    "read_flight_log": "IGC flight log",
    "read_runup_log": "engine logger's table",
}
"""Readers of files, and the row of the page that is theirs."""


def readers() -> set[str]:
    """Every public function of `formats` that reads a file."""
    sources = [p for p in FORMATS.rglob("*.py") if p.relative_to(FORMATS).parts[0] not in NO_FILES]
    return {
        node.name
        for source in sources
        for node in ast.parse(source.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("read_")
    }


def texts(folder: str) -> str:
    return "\n".join(p.read_text(encoding="utf-8") for p in sorted((ROOT / folder).rglob("test_*.py")))


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_of_reading_has_its_numbers_its_words_and_its_test(kind: str) -> None:
    assert kind in COMPUTED_FROM
    assert f"`{kind}`" in (ROOT / "docs" / "type-sheets.md").read_text(encoding="utf-8")
    assert f'"{kind}"' in texts("tests/workshop/readings")


def test_every_reader_of_files_has_its_row_on_the_page_and_its_test() -> None:
    assert readers() == set(READS)
    rows = re.findall(r"^\| ([^|]+) \|", FILES_PAGE, re.MULTILINE)
    assert [name for name, row in READS.items() if not any(cell.startswith(row) for cell in rows)] == []
    tried = texts("tests/formats") + texts("tests/workshop") + texts("tests/library")
    assert [name for name in READS if not re.search(rf"\b{name}\b", tried) and name != "read_table"] == []


@pytest.mark.parametrize(
    ("row", "limit"),
    [
        ("IGC flight log", f"{igc.SIZE_LIMIT_BYTES // 2**20} MB, {igc.LINE_LIMIT:,} lines"),
        ("GPX track", f"{gpx.SIZE_LIMIT_BYTES // 2**20} MB"),
        ("engine logger's table", f"{csv_table.SIZE_LIMIT_BYTES // 2**20} MB"),
        ("table of services", f"{reading.SIZE_LIMIT_BYTES // 2**20} MB, {sorting_in.MOST_ROWS:,} rows"),
        ("table of typed hours", f"{hours_csv.SIZE_LIMIT_BYTES // 2**20} MB"),
        (
            "sound recording",
            f"{evidence.MOST_SOUND_BYTES // 2**30} GB, {sound_file.LONGEST_H:.0f} h, "
            f"{sound_file.MOST_CHANNELS} channels",
        ),
        ("photo", f"{opening.MOST_BYTES // 2**20} MB"),
    ],
)
def test_the_sizes_on_the_page_are_those_of_the_code(row: str, limit: str) -> None:
    line = next(line for line in FILES_PAGE.splitlines() if line.startswith(f"| {row}"))
    assert line.endswith(f"| {limit} |")


def test_the_figures_on_the_page_are_those_of_the_code() -> None:
    assert f"first {columns.HEADER_WITHIN} lines" in FILES_PAGE
    assert f"above {csv_table.FASTEST_RPM:,.0f} rpm" in FILES_PAGE
    assert f"{sound_file.LOWEST_HZ:,.0f} to {sound_file.HIGHEST_HZ:,.0f} Hz" in FILES_PAGE
    assert f"{hours_csv.OLDEST_YEARS} years back" in FILES_PAGE
    assert f"{hours_csv.LONGEST_LIFE_H:,.0f} at most" in FILES_PAGE
    assert set(
        re.findall(r"`(\w+)`", FILES_PAGE.split("## Table of typed hours")[1].split("\n## ")[0])
    ) == set(hours_csv.COLUMNS)


def test_every_document_is_on_the_page_of_all_documents() -> None:
    index = (ROOT / "docs" / "index.md").read_text(encoding="utf-8")
    names = [path.name for path in (ROOT / "docs").glob("*.md") if path.name != "index.md"]
    assert [name for name in names if f"({name})" not in index] == []


def test_contributing_has_a_recipe_for_each_thing_people_add() -> None:
    text = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
    wanted = (
        "a kind of reading",
        "a calculation",
        "a card",
        "a drawing",
        "a page",
        "a file format",
        "an engine type",
    )
    assert [thing for thing in wanted if f"\n**{thing}**" not in text] == []
