"""Many engines from one table: a dry run leaves everything as it was, and says what the press then does."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from tickover.formats.typed_table.columns import guess_columns
from tickover.formats.typed_table.reading import read_pasted_rows
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import queries as journal
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register.models import Engine, Owner
from tickover.workshop.register.queries import newest_sheet
from tickover.workshop.takeover import many
from tickover.workshop.takeover.many import LineOutcome, ManyReport

pytestmark = pytest.mark.usefixtures("verified")

HEAD = "Serial\tName\tType\tOwner\tHours now\tRead on\tSource\tTask\tDone at\tDone on\n"
GOOD = HEAD + (
    "1310\tKestrel\tVelisk 185\tNils Tarn\t230,5\t1.5.2025\tlogbook 1\tSpark plug renewal\t215\t2025-03-01\n"
    "1310\t\t\t\t\t\t\tCarburettor diaphragm service\t180\t2024-06-01\n"
    "1310\t\t\t\t\t\t\tSpark plug renewal\t190\t2024-08-01\n"
    "1777\tPlover\tvelisk-185\tNils Tarn\t0\t\t\t\t\t\n"
)


@pytest.fixture
def enter(sheet: Any, crew: Any, now: datetime) -> Any:
    def run(text: str, *, in_earnest: bool = True) -> ManyReport:
        table = read_pasted_rows(text, most_rows=2_000)
        lines = many.lines_of_table(table, guess_columns(table, many.WORDS))
        sheets = [newest_sheet(sheet.sheet_id)]
        return many.enter_engines(
            lines, sheets, "engines.xlsx", in_earnest=in_earnest, who=crew.technician, at=now
        )

    return run


def test_a_dry_run_says_what_the_press_does_and_leaves_everything_as_it_was(enter: Any) -> None:
    before = journal.head()
    dry = enter(GOOD, in_earnest=False)
    assert journal.head() == before
    assert not Engine.objects.exists() and not Owner.objects.exists() and not TaskDone.objects.exists()
    assert enter(GOOD) == dry
    assert (dry.engines, dry.services, dry.refused) == (2, 3, 0)
    assert [(fate.line, str(fate.outcome)) for fate in dry.lines] == [
        (2, "engine"), (2, "service"), (3, "service"), (4, "service"), (5, "engine"),
    ]  # fmt: skip
    assert dry.lines[3].said == "Spark plug renewal: an older time, left out"


def test_engines_come_with_hours_and_services_and_the_rest_is_not_known(enter: Any, now: datetime) -> None:
    enter(GOOD)
    kestrel, plover = Engine.objects.order_by("serial")
    assert (kestrel.name, kestrel.build_id, plover.build_id) == (
        "Kestrel",
        "external-pulse",
        "internal-pulse",
    )
    assert engine_time.total_time(kestrel).hours_h == 230.5
    assert programme.due_of(kestrel, "plug-renewal", now.date()).due.due_h == 240.0
    assert programme.due_of(kestrel, "ring-renewal", now.date()).not_known
    assert not programme.due_of(plover, "ring-renewal", now.date()).not_known
    assert {row.reference for row in TaskDone.objects.all()} == {"brought forward from logbook 1"}


def test_a_table_may_be_sent_again(enter: Any) -> None:
    enter(GOOD)
    before = journal.head()
    again = enter(GOOD)
    assert {fate.outcome for fate in again.lines} == {LineOutcome.THERE}
    assert journal.head() == before


ONE = "1310\tKestrel\tVelisk 185\tNils Tarn\t230\t2025-05-01\t\t{task}\t{at}\t{on}\n"


@pytest.mark.parametrize(
    ("rows", "line", "said"),
    [
        ("\tKestrel\tVelisk 185\tNils Tarn\t230\n", 2, "The serial number is missing"),
        ("1310\tKestrel\tVelisk 185\t\t230\n", 2, "The owner is missing"),
        ("1310\tKestrel\tVelisk 999\tNils Tarn\t230\n", 2, "no engine type here. Write one of: Velisk 185"),
        ("1310\tKestrel\t\tNils Tarn\t\n", 2, "The hours now are missing"),
        ("1310\tKestrel\t\tNils Tarn\t1,250\n", 2, "can mean 1250 or 1.250"),
        ("1310\tKestrel\t\tNils Tarn\t=B2+1\n", 2, "is a formula"),
        ("1310\tKestrel\t\tNils Tarn\t230\t2025-05-06\n", 2, "still to come"),
        ("1310\tA\t\tNils Tarn\t230\n1310\tA\t\tNils Tarn\t230\n", 3, "Serial 1310 is on line 2 already"),
        (
            ONE.format(task="Case", at="", on="") + "1310\tOther\t\t\t\t\t\tPort\t1\t2024-01-01\n",
            3,
            "Line 2 says",
        ),
        (ONE.format(task="washed the car", at="5", on="2024-01-01"), 2, "is no task of Velisk 185"),
        (ONE.format(task="Spark plug renewal", at="231", on="2024-01-01"), 2, "more than the engine has now"),
        (ONE.format(task="Spark plug renewal", at="5", on="2025-05-06"), 2, "still to come"),
        (ONE.format(task="Spark plug renewal", at="5", on="4/5/2024"), 2, "more than one way"),
        (ONE.format(task="Spark plug renewal", at="5", on=""), 2, "Type the day too"),
    ],
)
def test_what_is_wrong_with_a_line_leaves_its_engine_out_and_no_other(
    enter: Any, rows: str, line: int, said: str
) -> None:
    good = "1500\tSound\tVelisk 185\tAda Rook\t12\t2025-05-01\tlogbook 7\t\t\t\n"
    report = enter(HEAD + rows + good)
    refused = {fate.line: fate.said for fate in report.lines if fate.outcome is LineOutcome.REFUSED}
    assert said in refused[line]
    assert [engine.name for engine in Engine.objects.all()] == ["Sound"]
    assert not Owner.objects.filter(name="Nils Tarn").exists() and not TaskDone.objects.exists()


def test_a_build_that_does_not_fit_its_serial_is_refused_and_one_that_is_named_counts(enter: Any) -> None:
    head = "Serial\tBuild\tOwner\tHours now\n"
    report = enter(f"{head}1310\tInternal pulse passage\tNils Tarn\t0\nX-7\tinternal-pulse\tNils Tarn\t0\n")
    assert "Serial 1310 is of the build “External pulse hose”" in report.lines[0].said
    assert Engine.objects.get().build_id == "internal-pulse"
    assert "no build of Velisk 185" in enter(f"{head}X-8\tnone such\tNils Tarn\t0\n").lines[0].said
