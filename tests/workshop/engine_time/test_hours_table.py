"""Hours from a table: entered once, line by line, and every line reported on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tickover.formats.hours_csv import read_hours_csv
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.table_of_hours import ReportLine, import_hours
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register.models import EngineTimeEntry

pytestmark = pytest.mark.usefixtures("verified")

HEAD = "engine,date,hours,meter,sd,grade,remark"


@pytest.fixture
def enter(crew: Any, now: Any) -> Callable[..., list[ReportLine]]:
    def hand_in(*lines: str) -> list[ReportLine]:
        rows, problems = read_hours_csv("\n".join((HEAD, *lines)).encode(), today=now.date())
        return list(import_hours(rows, problems, who=crew.technician, at=now))

    return hand_in


def outcomes(report: list[ReportLine]) -> list[tuple[int, str]]:
    return [(line.line, str(line.outcome)) for line in report]


def test_each_good_line_adds_its_hours(enter: Callable[..., Any], outer: Any, inner: Any) -> None:
    report = enter(
        "1200,2025-05-01,1.5,,0.2,log entry,page 12",
        "1600,2025-05-02,2,,,owner's word,",
        "1200,2025-05-03,0.5,,,estimate,",
    )
    assert outcomes(report) == [(2, "entered"), (3, "entered"), (4, "entered")]
    assert engine_time.total_time(outer).hours_h == 2.0
    entry = EngineTimeEntry.objects.get(entry_sequence=report[0].sequence)
    assert (entry.duration_h, entry.sd_h, entry.grade, entry.method) == (1.5, 0.2, "log entry", "page 12")
    assert Entry.objects.get(sequence=report[0].sequence).actor == "tilda"
    assert report[1].said == "2.00 h on 02 May 2025, owner's word, sd 0.35 h."


def test_a_bad_line_does_not_cost_the_good_ones(enter: Callable[..., Any], outer: Any) -> None:
    report = enter(
        "1200,2025-05-01,1.5,,,log entry,", "1200,2025-05-32,1,,,log entry,", "9,2025-05-01,1,,,estimate,"
    )
    assert outcomes(report) == [(2, "entered"), (3, "refused"), (4, "refused")]
    assert report[1].said.startswith("Column date: ")
    assert report[2].said == "No engine with serial 9 is in the register."
    assert engine_time.total_time(outer).hours_h == 1.5


def test_a_table_handed_in_again_enters_nothing_twice(enter: Callable[..., Any], outer: Any) -> None:
    lines = [
        "1200,2025-05-01,1.5,,,log entry,page 12",
        "1200,2025-05-02,,312.4,,,",
        "1200,2025-05-04,,313,,,",
    ]
    first = enter(*lines)
    before = Entry.objects.count()
    again = enter(*lines, "1200,2025-05-04,0.25,,,estimate,new")
    assert outcomes(first) == [(2, "entered"), (3, "entered"), (4, "entered")]
    assert outcomes(again) == [
        (2, "there already"),
        (3, "there already"),
        (4, "there already"),
        (5, "entered"),
    ]
    assert again[0].sequence == first[0].sequence
    assert EngineTimeEntry.objects.filter(method="new").count() == 1
    assert Entry.objects.count() > before


def test_what_was_withdrawn_may_be_entered_again(
    enter: Callable[..., Any], outer: Any, crew: Any, now: Any
) -> None:
    (line,) = enter("1200,2025-05-01,1.5,,,log entry,")
    time_actions.withdraw(
        EngineTimeEntry.objects.get(entry_sequence=line.sequence), "by mistake", who=crew.technician, at=now
    )
    assert outcomes(enter("1200,2025-05-01,1.5,,,log entry,")) == [(2, "entered")]
    assert engine_time.total_time(outer).hours_h == 1.5


def test_meter_readings_add_their_difference_whatever_their_order(
    enter: Callable[..., Any], outer: Any
) -> None:
    report = enter("1200,2025-05-04,,313.4,,,", "1200,2025-05-01,,312.4,,,")
    assert outcomes(report) == [(2, "entered"), (3, "entered")]
    assert report[0].said == "313.4 h on the meter on 04 May 2025; adds 1.00 h."


def test_a_meter_that_goes_back_is_refused_in_its_line(enter: Callable[..., Any], outer: Any) -> None:
    report = enter("1200,2025-05-01,,312.4,,,", "1200,2025-05-02,,311,,,", "1200,2025-05-03,,313,,,")
    assert outcomes(report) == [(2, "entered"), (3, "refused"), (4, "entered")]
    assert "lower" in report[1].said


def hand_in(client: Any, data: bytes) -> Any:
    return client.post("/hours-from-a-table/enter/", {"table": SimpleUploadedFile("hours.csv", data)})


def test_the_page_reports_on_each_line(signed_in: Callable[..., Any], crew: Any, outer: Any) -> None:
    client = signed_in(crew.technician)
    assert client.get("/hours-from-a-table/").status_code == 200
    answer = hand_in(client, f"{HEAD}\n1200,2025-05-01,1.5,,,log entry,\n1200,soon,1,,,estimate,\n".encode())
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "1 line saved, 0 already there, 1 refused." in text
    assert "Column date: &quot;soon&quot; is not a day" in text
    assert engine_time.total_time(outer).hours_h == 1.5


@pytest.mark.parametrize(("data", "says"), [(b"a,b\n", "no column called"), (b"\x89PNG\r\n", "PNG picture")])
def test_a_table_that_cannot_be_read_enters_nothing(
    signed_in: Callable[..., Any], crew: Any, outer: Any, data: bytes, says: str
) -> None:
    before = Entry.objects.count()
    answer = hand_in(signed_in(crew.technician), data)
    assert (answer.status_code, says in answer.content.decode()) == (422, True)
    assert Entry.objects.count() == before


def test_a_form_without_a_file_asks_for_one(signed_in: Callable[..., Any], crew: Any, shop: Any) -> None:
    answer = signed_in(crew.technician).post("/hours-from-a-table/enter/")
    assert (answer.status_code, b"Choose a table first" in answer.content) == (422, True)
