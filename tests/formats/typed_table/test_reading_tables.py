"""Tables from spreadsheets. XLSX files are written by openpyxl; the ODS file by hand, after OASIS OpenDocument 1.3."""

from __future__ import annotations

import datetime as dt
import io
import random
import zipfile

import openpyxl
import pytest

from tickover.formats.errors import FormatError
from tickover.formats.typed_table.reading import is_formula, read_pasted_rows, read_typed_table

MOST = 2_000
ROWS = [
    ["Task", "Hours", "Date"],
    ["Spark plug renewal", 205.5, dt.datetime(2024, 6, 1)],
    ["Reed petals and block", 180, dt.date(2023, 5, 4)],
]
AS_TEXT = (
    ("Task", "Hours", "Date"),
    ("Spark plug renewal", "205.5", "2024-06-01"),
    ("Reed petals and block", "180", "2023-05-04"),
)


def xlsx(rows: list[list[object]], *, merge: str = "", empty_first: bool = False) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    if empty_first:
        sheet = book.create_sheet("Services")
    for row in rows:
        sheet.append(row)
    if merge:
        sheet.merge_cells(merge)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def ods(rows: list[list[str]]) -> bytes:
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="float" office:value="{c}"><text:p>{c}</text:p></table:table-cell>'
            if c.replace(".", "").isdigit()
            else f'<table:table-cell office:value-type="string"><text:p>{c}</text:p></table:table-cell>'
            for c in row
        )
        + "</table:table-row>"
        for row in rows
    )
    ns = "urn:oasis:names:tc:opendocument:xmlns"
    content = (
        f'<?xml version="1.0"?><office:document-content xmlns:office="{ns}:office:1.0" xmlns:table="{ns}:table:1.0" '
        f'xmlns:text="{ns}:text:1.0" office:version="1.3"><office:body><office:spreadsheet>'
        f"<table:table table:name='One'>{cells}</table:table></office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("META-INF/manifest.xml", f'<manifest:manifest xmlns:manifest="{ns}:manifest:1.0"/>')
        packed.writestr("content.xml", content)
    return kept.getvalue()


def test_an_xlsx_is_read_as_it_would_be_typed() -> None:
    table = read_typed_table(xlsx(ROWS), most_rows=MOST)
    assert table.rows == AS_TEXT
    assert (table.lines, table.remarks) == ((1, 2, 3), ())


def test_an_ods_is_read() -> None:
    table = read_typed_table(ods([["Task", "Hours"], ["Spark plug renewal", "205.5"]]), most_rows=MOST)
    assert table.rows == (("Task", "Hours"), ("Spark plug renewal", "205.5"))


@pytest.mark.parametrize("mark", [";", "\t", ","])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
def test_text_is_read_whatever_parts_its_cells(mark: str, encoding: str) -> None:
    text = "\r\n".join(mark.join(row) for row in AS_TEXT)
    assert read_typed_table(text.encode(encoding), most_rows=MOST).rows == AS_TEXT


def test_decimal_commas_stay_whole_where_semicolons_or_tabs_part_the_cells() -> None:
    for mark in (";", "\t"):
        table = read_pasted_rows(f"Task{mark}h\nPlug{mark}205,5", most_rows=MOST)
        assert table.rows == (("Task", "h"), ("Plug", "205,5"))


def test_a_merged_cell_counts_in_each_of_its_rows_and_says_so() -> None:
    rows: list[list[object]] = [["Task", "Hours", "Date"], ["Plug", 205, "2024-06-01"], ["Reeds", 205, None]]
    table = read_typed_table(xlsx(rows, merge="C2:C3"), most_rows=MOST)
    assert [row[2] for row in table.rows] == ["Date", "2024-06-01", "2024-06-01"]
    assert table.remarks == ("Merged cells: each of their rows has the value.",)


def test_the_first_sheet_with_something_in_it_is_read() -> None:
    assert read_typed_table(xlsx(ROWS, empty_first=True), most_rows=MOST).rows == AS_TEXT


def test_a_formula_is_known_for_one_and_a_formula_without_a_value_is_an_empty_cell() -> None:
    table = read_typed_table(xlsx([["Task", "Hours"], ["Plug", "=B1+5"]]), most_rows=MOST)
    assert table.rows[1] == ("Plug", "")
    assert is_formula("=B1+5") and is_formula("=SUM(A1:A2)")
    assert not is_formula("205") and not is_formula("= 5")


def test_empty_rows_are_passed_over_and_lines_keep_their_numbers() -> None:
    table = read_pasted_rows("Task\th\n\n\t\nPlug\t3\n", most_rows=MOST)
    assert (table.rows, table.lines) == ((("Task", "h"), ("Plug", "3")), (1, 4))


@pytest.mark.parametrize("rows", [MOST, MOST + 1])
def test_so_many_rows_and_no_more(rows: int) -> None:
    text = "\n".join(f"Plug\t{n}" for n in range(rows))
    if rows > MOST:
        with pytest.raises(FormatError, match=r"There are 2,001 rows; 2,000 is the most"):
            read_pasted_rows(text, most_rows=MOST)
    else:
        assert len(read_pasted_rows(text, most_rows=MOST).rows) == MOST


def test_twenty_thousand_rows_of_a_spreadsheet_are_refused_with_their_number() -> None:
    data = xlsx([["Plug", n] for n in range(20_000)])
    with pytest.raises(FormatError, match=r"There are 20,000 rows; 2,000 is the most"):
        read_typed_table(data, most_rows=MOST)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b"\n\n", "empty"),
        (xlsx([]), "The spreadsheet is empty"),
        (b"PK\x03\x04 no more", "cannot be opened"),
        (b"%PDF-1.7 x", "PDF"),
        (b"x" * (8 * 2**20 + 1), "8 MB is the most"),
    ],
)
def test_what_is_no_table_says_so(data: bytes, said: str) -> None:
    with pytest.raises(FormatError, match=said):
        read_typed_table(data, most_rows=MOST)


def test_a_file_that_would_fill_the_disk_is_not_unpacked() -> None:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("content.xml", b"0" * (101 * 2**20))
    with pytest.raises(FormatError, match="too large once it is unpacked"):
        read_typed_table(kept.getvalue(), most_rows=MOST)


def test_a_file_cut_or_changed_anywhere_is_read_or_refused_and_nothing_else() -> None:
    whole, chance = xlsx(ROWS), random.Random(16)
    broken = [whole[:n] for n in range(0, len(whole), 211)]
    for _ in range(150):
        changed = bytearray(whole)
        changed[chance.randrange(len(whole))] = chance.randrange(256)
        broken.append(bytes(changed))
    for data in broken:
        try:
            read_typed_table(data, most_rows=MOST)
        except FormatError as error:
            assert str(error)


def test_pasting_what_was_read_gives_the_same_rows() -> None:
    table = read_typed_table(xlsx(ROWS), most_rows=MOST)
    assert read_pasted_rows(table.as_text, most_rows=MOST).rows == table.rows
    with pytest.raises(FormatError, match="Nothing is pasted"):
        read_pasted_rows(" \n", most_rows=MOST)
