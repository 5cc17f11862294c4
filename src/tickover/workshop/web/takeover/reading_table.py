"""A pasted table, or one from a file, on its way into the rows: its columns shown, corrected and remembered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.http import HttpRequest

from tickover.formats.errors import FormatError
from tickover.formats.typed_table.columns import ColumnGuess, Words, fingerprint_of
from tickover.formats.typed_table.reading import TypedTable, read_pasted_rows, read_typed_table
from tickover.workshop.takeover import remembering
from tickover.workshop.web.typed_fields import SentForm
from tickover.workshop.web.typed_fields import Words as WordsField

ROWS_SHOWN = 4
PASTED_MAX = 400_000


class PastedTableForm(SentForm):
    """What was pasted, and the first row of the table whose columns are chosen."""

    pasted, of, header, do = WordsField(PASTED_MAX), WordsField(), WordsField(), WordsField()

    def chosen(self, prefix: str) -> dict[str, str]:
        """What was chosen in fields that are numbered, by their numbers: `col-3`, `line-12`."""
        return {
            name.removeprefix(prefix): str(self.data[name]) for name in self.data if name.startswith(prefix)
        }


@dataclass(frozen=True)
class ShownColumn:
    """A column of the table: its name in the form, and what it holds."""

    name: str
    holds: str


@dataclass(frozen=True)
class TableRead:
    """A table as it was read, with the columns it was read by."""

    table: TypedTable
    columns: ColumnGuess
    what: Sequence[tuple[str, str]] = field(default=())
    """What a column may hold: its name, and its words."""

    @property
    def fingerprint(self) -> str:
        return fingerprint_of(self.table)

    @property
    def shown(self) -> list[ShownColumn]:
        holds = {place: what for what, place in self.columns.places.items()}
        return [ShownColumn(f"col-{n}", holds.get(n, "")) for n in range(len(self.table.rows[0]))]

    @property
    def first_rows(self) -> tuple[tuple[str, ...], ...]:
        return self.table.rows[:ROWS_SHOWN]

    @property
    def rows_read(self) -> int:
        return len(self.columns.rows(self.table))


def wants_reading(request: HttpRequest) -> bool:
    """Whether a table is to be read: its button was pressed, or a file came with the form."""
    return PastedTableForm(request.POST).sent()["do"] == "read" or bool(request.FILES)


def tasks_chosen(request: HttpRequest) -> dict[str, str]:
    """Which task a person chose for the row of a line, by its number."""
    return PastedTableForm(request.POST).chosen("line-")


def file_name(request: HttpRequest) -> str:
    """Name of the file that was sent; "" where none was."""
    upload = request.FILES.get("table")
    return str(upload.name) if upload is not None else ""


def pasted(request: HttpRequest) -> str:
    return str(PastedTableForm(request.POST).sent()["pasted"])


def table_read(
    request: HttpRequest, words: Words, what: Sequence[tuple[str, str]], *, most_rows: int
) -> TableRead:
    """The table that was sent. Raises FormatError where there is none that can be read.

    Columns that were corrected on the page are remembered for the next table with the same first row.
    """
    form, upload = PastedTableForm(request.POST), request.FILES.get("table")
    sent = form.sent()
    if upload is not None:
        table = read_typed_table(upload.read(), most_rows=most_rows)
    else:
        table = read_pasted_rows(sent["pasted"], most_rows=most_rows)
    if max(len(sent["pasted"]) if upload is None else 0, len(table.as_text)) >= PASTED_MAX:
        raise FormatError("The table is too wide to be shown here. Keep only the columns that are needed.")
    if upload is None and sent["of"] == fingerprint_of(table):
        chosen = _chosen(form.chosen("col-"), table, words, header=bool(sent["header"]))
        if chosen != remembering.columns_of(table, words):
            remembering.remember(table, chosen)
        return TableRead(table, chosen, what)
    return TableRead(table, remembering.columns_of(table, words), what)


def _chosen(sent: Mapping[str, str], table: TypedTable, words: Words, *, header: bool) -> ColumnGuess:
    """The columns as they were chosen; of two that were given one meaning, the first."""
    places: dict[str, int] = {}
    for n in range(len(table.rows[0])):
        what = sent.get(str(n), "")
        if what in words:
            places.setdefault(what, n)
    return ColumnGuess(header, places)
