"""A run that says stop is never goes into the baseline; the air that was noted goes into the thrust."""

from __future__ import annotations

import io
from datetime import date
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest

from tests.workshop.web.run_ups.test_run_ups_pages import table
from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import run_up_papers
from tickover.workshop.run_ups import actions, queries
from tickover.workshop.run_ups.models import Acceptance, RunUp

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def take(outer: Any, crew: Any, now: Any) -> Any:
    def add(
        air_c: float | None = 15.0, thrust_kgf: float | None = None, wet: float | None = 50.0, **run: Any
    ) -> RunUp:
        circumstances = actions.Circumstances(date(2025, 5, 4), air_c, 1013.0, wet, thrust_kgf=thrust_kgf)
        return actions.add_run(
            outer, actions.Upload(table(**run), "r.csv", {}), circumstances, who=crew.technician, at=now
        )

    return add


def accept(run: RunUp, who: Any, at: Any) -> Acceptance:
    return actions.accept(run, accepted=True, why="", who=who, at=at)


@pytest.mark.parametrize(
    ("run", "seen"),
    [({"cht": 280.0}, "The cylinder head reached"), ({"climb": 400.0}, "At full throttle the speed climbs")],
)
def test_a_run_that_says_stop_is_not_accepted(
    take: Any, crew: Any, now: Any, run: dict[str, float], seen: str
) -> None:
    row, entries = take(**run), Entry.objects.count()
    with pytest.raises(
        actions.RunUpError, match=f"{seen}.*never goes into the baseline.*Nothing was changed"
    ):
        accept(row, crew.technician, now)
    assert not Acceptance.objects.exists() and Entry.objects.count() == entries


def test_it_may_still_be_kept_out_with_a_word_why(take: Any, crew: Any, now: Any) -> None:
    actions.accept(take(cht=280.0), accepted=False, why="seized probe washer", who=crew.technician, at=now)
    assert queries.baseline(RunUp.objects.get().engine) == {}


def test_a_run_whose_file_is_gone_cannot_be_judged_and_is_not_accepted(
    take: Any, crew: Any, now: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = take()

    def gone(sha256: str) -> None:
        raise FileNotFoundError(sha256)

    monkeypatch.setattr(queries, "evidence_files", SimpleNamespace(place_of=gone))
    with pytest.raises(actions.RunUpError, match="cannot be judged"):
        accept(row, crew.technician, now)


def test_thrust_is_compared_in_one_air(take: Any, crew: Any, now: Any) -> None:
    # 15 °C and 1013 hPa carry 60 kgf to 60; at 30 °C the air has 288.15/303.15 of the density, and its
    # moisture (50 %) takes another 0.8 % off.
    for seed, kgf in enumerate((60.2, 59.8, 60.0)):
        accept(take(thrust_kgf=kgf, seed=seed + 2), crew.technician, now)
    hot = queries.opened(take(air_c=30.0, thrust_kgf=60.0 * 288.15 / 303.15, seed=9))
    assert hot.read.run.measure("thrust-reference").value == pytest.approx(60.0 * 1.008, rel=0.006)
    own = next(f for f in hot.findings if f.id == "thrust-reference-itself")
    assert own.weight.name == "GOOD" and hot.differs == []


def test_a_row_kept_before_a_figure_was_known_does_not_differ(take: Any) -> None:
    opened = queries.opened(take(thrust_kgf=60.0))
    assert "thrust-reference" in opened.read.figures and opened.differs == []


def test_the_page_shows_thrust_in_one_air_with_its_working(take: Any, crew: Any, signed_in: Any) -> None:
    row = take(thrust_kgf=60.0)
    page = signed_in(crew.technician).get(f"/engines/1200/runs/{row.entry_sequence}/").content.decode()
    assert "Static thrust, in standard air" in page and "CHT at the end of full, in air of 15 °C" in page
    assert "14 CFR 23.1043 (c)" in page and "Thrust as read" in page


def test_page_and_paper_say_that_a_humidity_was_assumed(take: Any, crew: Any, signed_in: Any) -> None:
    said = "humidity not recorded: 50 % assumed for the thrust in standard air"
    for wet, told in ((None, True), (50.0, False)):
        row = take(thrust_kgf=60.0, wet=wet, seed=3 if told else 4)
        page = signed_in(crew.technician).get(f"/engines/1200/runs/{row.entry_sequence}/").content.decode()
        pdf = pypdf.PdfReader(io.BytesIO(run_up_papers.run_up(queries.opened(row))))
        paper = " ".join(" ".join(p.extract_text() for p in pdf.pages).split())
        assert (said in page, said in paper) == (told, told)
        assert ("in saturated air, which flatters the engine" in page) is told
