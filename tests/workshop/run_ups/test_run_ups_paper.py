"""A run-up on paper: the verdict first, the strip as vectors, cautions, and the working of every figure."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest

from tests.workshop.web.run_ups.test_run_ups_pages import table
from tickover.workshop.logbook import run_up_papers
from tickover.workshop.run_ups import actions, queries
from tickover.workshop.run_ups.cautions import CAUTIONS
from tickover.workshop.run_ups.models import RunUp

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def take(outer: Any, crew: Any, now: datetime) -> Callable[..., RunUp]:
    def add(**run: Any) -> RunUp:
        circumstances = actions.Circumstances(now.date(), 15.0, 1013.0, turns_low=1.0, turns_high=1.25)
        return actions.add_run(
            outer, actions.Upload(table(**run), "log.csv", {}), circumstances, who=crew.technician, at=now
        )

    return add


def reader(run: RunUp) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(run_up_papers.run_up(queries.opened(run))))


def text(run: RunUp) -> str:
    pages = [page.extract_text() for page in reader(run).pages]
    return " ".join(" ".join(pages).replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())


def test_the_verdict_comes_first_and_the_rest_follows(take: Callable[..., RunUp]) -> None:
    run = take()
    said, answer = text(run), queries.opened(run).answer
    places = [
        said.index(words) for words in (answer, "Findings", "Before the engine", "Figures and their working")
    ]
    assert places == sorted(places)
    assert "low 1, high 1.25 turns out" in said and run.evidence.sha256[:8] in said


def test_a_danger_says_stop(take: Callable[..., RunUp]) -> None:
    said = text(take(cht=270.0))
    assert said.index("Stop. The cylinder head reached") < said.index("Findings") and "Do:" in said


def test_every_caution_of_the_page_stands_on_the_paper(take: Callable[..., RunUp]) -> None:
    said = text(take())
    for caution in CAUTIONS:
        assert " ".join(caution.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split()) in said


def test_each_figure_shows_its_working_and_what_was_not_measured_says_why(take: Callable[..., RunUp]) -> None:
    said, opened = text(take()), queries.opened(RunUp.objects.get())
    for measure in opened.read.run.measures:
        assert measure.title in said
        assert (measure.how.split()[0] if measure.value is not None else "Not measured") in said
    assert "highest sample" in said and "the run has no EGT" in said


def test_the_strip_is_drawn_and_not_photographed(take: Callable[..., RunUp]) -> None:
    pdf = reader(take())
    assert not [image for page in pdf.pages for image in page.images]
    said = pdf.pages[0].extract_text()
    assert "rpm" in said and "°C" in said and "minutes and seconds of the run" in said


def test_the_paper_is_the_same_for_the_same_run_and_can_be_kept(take: Callable[..., RunUp]) -> None:
    run = take()
    first, second = (run_up_papers.run_up(queries.opened(run)) for _ in range(2))
    assert first == second
    xmp = reader(run).root_object["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp and "<pdfuaid:part>1</pdfuaid:part>" in xmp
