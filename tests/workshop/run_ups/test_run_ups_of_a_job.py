"""Run-ups as part of a job and of its release: named with their verdicts, and never passed over in silence."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client

from tests.kept import once
from tests.workshop.web.run_ups.test_run_ups_pages import table
from tickover.sheets import load_sheet, shipped_texts
from tickover.workshop.audit.verify import verify
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.actions import append
from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import job_papers
from tickover.workshop.programme import actions as programme
from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.run_ups import of_visit, queries
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits import actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job, Release

pytestmark = pytest.mark.usefixtures("verified")
Take = Callable[..., RunUp]
DANGER = {
    "climb": 300.0
}  # a mixture that leans out; a stop temperature is an exceedance, which has its own tests


@pytest.fixture
def take(outer: Any, crew: Any, now: datetime) -> Take:
    def add(job: Job, before_or_after: str = "after", **run: Any) -> RunUp:
        circumstances = run_up_actions.Circumstances(
            now.date(), 15.0, 1013.0, job=job, before_or_after=before_or_after
        )
        file = run_up_actions.Upload(table(**run), "log.csv", {})
        return run_up_actions.add_run(outer, file, circumstances, who=crew.technician, at=now)

    return add


@pytest.fixture
def service(outer: Any, hands: Any, data_folder: Path) -> Job:
    """A diaphragm service with every step done."""

    def done() -> Job:
        job: Job = hands.open(outer, "diaphragm-service")
        hands.do_all(job)
        return job

    return once("diaphragm service done", done, data_folder)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def _page(client: Client, job: Job, name: str = "") -> str:
    return client.get(f"/visits/{job.number}/{name}").content.decode()


def _paper(job: Job) -> str:
    pages = pypdf.PdfReader(io.BytesIO(job_papers.release(visits.job_sheet(job)))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_page_of_a_job_shows_its_run_ups_and_asks_for_the_one_after(
    service: Job, take: Take, technician: Client
) -> None:
    page = _page(technician, service)
    assert "changes how the engine runs: no run-up since the work" in page
    assert f"/engines/1200/runs/new/?job={service.number}&amp;before_or_after=after" in page
    first, second = take(service, "before", seed=1), take(service, seed=2)
    page = _page(technician, service)
    assert "no run-up since the work" not in page
    over = f"overlay/?first={first.entry_sequence}&amp;second={second.entry_sequence}"
    assert over in page and page.index("Before, ") < page.index("After, ")


def test_the_form_knows_the_job_that_sent_for_it(service: Job, technician: Client) -> None:
    page = technician.get(
        f"/engines/1200/runs/new/?job={service.number}&before_or_after=after"
    ).content.decode()
    assert f'<option value="{service.number}" selected>' in page and '<option value="after" selected>' in page


def test_a_run_up_handed_in_by_the_form_belongs_to_its_job(
    service: Job, technician: Client, now: datetime
) -> None:
    file = SimpleUploadedFile("log.csv", table())
    circumstances = {
        "on_day": now.date().isoformat(),
        "run_file": file,
        "job": service.number,
        "before_or_after": "before",
    }
    answer = technician.post("/engines/1200/runs/new/", circumstances)
    assert answer.status_code == 302, answer.content.decode()
    assert [run.before_or_after for run in queries.all_of_job(service)] == ["before"]


def test_entries_keep_the_name_that_a_column_had_when_they_began(service: Job, take: Take) -> None:
    run = take(service, "before")
    facts = json.loads(Entry.objects.get(sequence=run.entry_sequence).body)["facts"]
    assert facts["moment"] == "before" and "before_or_after" not in facts


def test_a_release_holds_its_run_ups_with_the_verdict_of_that_day(
    service: Job, take: Take, hands: Any, technician: Client, crew: Any, now: datetime
) -> None:
    before, after = take(service, "before", seed=1), take(service, seed=2)
    hands.release(service)
    held = Release.objects.get().run_ups
    assert [(r["entry"], r["moment"], r["danger"]) for r in held["runs"]] == [
        (before.entry_sequence, "before", False),
        (after.entry_sequence, "after", False),
    ]
    assert held["runs"][1]["sha256"] == after.evidence.sha256 and held["warnings"] == []
    then = held["runs"][1]["answer"]
    for run in (before, after, *(take(service, "before", seed=n) for n in (3, 4))):
        run_up_actions.accept(run, accepted=True, why="", who=crew.technician, at=now)
    assert then in _paper(service) and then in _page(technician, service, "release/")


def test_a_danger_after_the_work_is_not_passed_in_silence(
    service: Job, take: Take, hands: Any, crew: Any, technician: Client
) -> None:
    take(service, **DANGER)
    page = _page(technician, service, "release/")
    assert "Stop: the last run-up found a danger" in page and 'name="despite"' in page
    count = Entry.objects.count()
    with pytest.raises(actions.VisitError, match=r"found a danger\..*climbs.*or write why"):
        hands.release(service)
    assert Entry.objects.count() == count and not Release.objects.exists()
    words = actions.ReleaseWords(despite="Probe came loose; seen with a second probe at 180 deg C.")
    actions.release(service, words, who=crew.technician, at=hands.at)
    said = _paper(service)
    assert "found a danger" in said and "Released despite the danger by Tilda Reeve: Probe came loose" in said


COOLER = {"upper": 190.0, "never_above": 200.0, "nominal": 170.0}


@pytest.mark.parametrize(("unit", "figures"), [
    ("deg C", COOLER),
    ("deg F", {name: value * 1.8 + 32.0 for name, value in {**COOLER, "lower": 120.0}.items()}),
])  # fmt: skip
def test_a_lower_stop_temperature_of_the_maker_keeps_the_engine(
    service: Job, take: Take, hands: Any, sheet_with: Any, unit: str, figures: dict[str, float]
) -> None:
    take(service, cht=215.0, seed=1)
    assert not of_visit.judged_run_ups(service)[-1].danger
    sheet_with("limits", "cht", unit=unit, plausible_upper=900.0, **figures)
    with pytest.raises(actions.VisitError, match=r"head reached 21\d °C"):
        hands.release(service)
    assert not Release.objects.exists()


def test_a_danger_before_the_work_stands_until_the_engine_ran_without_it(
    service: Job, take: Take, hands: Any, technician: Client
) -> None:
    take(service, "before", **DANGER)
    page = _page(technician, service, "release/")
    assert "Stop: the last run-up found a danger" in page and "there is none after it" in page
    with pytest.raises(actions.VisitError, match=r"run-up before the work .* found a danger"):
        hands.release(service)
    take(service, seed=5)
    hands.release(service)
    assert Release.objects.get().run_ups["warnings"] == []


def test_a_later_run_in_order_puts_a_danger_right(service: Job, take: Take, hands: Any) -> None:
    take(service, **DANGER)
    take(service, seed=5)
    hands.release(service)
    held = Release.objects.get().run_ups
    assert [r["danger"] for r in held["runs"]] == [True, False] and held["warnings"] == []


def test_carburettor_work_without_a_run_up_says_so_on_the_release(service: Job, hands: Any) -> None:
    hands.release(service)
    said = _paper(service)
    assert "Note. “Carburettor diaphragm service” changes how the engine runs" in said


def test_a_look_from_outside_asks_for_no_run_up(outer: Any, hands: Any) -> None:
    job = hands.open(outer, "flange-check")
    hands.do_all(job)
    hands.release(job)
    assert Release.objects.get().run_ups == {"runs": [], "warnings": [], "despite": ""}
    assert "Run-ups" not in _paper(job)


def test_a_run_handed_in_while_the_release_was_read_is_looked_at_first(
    service: Job, take: Take, hands: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = of_visit.judged_run_ups

    def listened(job: Job) -> Any:
        found = told(job)
        take(job, **DANGER)
        return found

    monkeypatch.setattr(of_visit, "judged_run_ups", listened)
    with pytest.raises(actions.VisitError, match="added meanwhile"):
        hands.release(service)
    assert not Release.objects.exists()


def test_a_run_whose_file_is_gone_is_named(service: Job, take: Take, hands: Any) -> None:
    run = take(service)
    place = evidence_files.place_of(run.evidence.sha256)
    data = place.read_bytes()
    place.unlink()
    hands.release(service)
    assert "cannot be read any more" in Release.objects.get().run_ups["warnings"][0]
    place.write_bytes(data)


def test_a_run_from_before_a_job_was_opened_is_not_from_after_it(
    service: Job, outer: Any, crew: Any, now: datetime
) -> None:
    circumstances = run_up_actions.Circumstances(
        now.date().replace(day=1), job=service, before_or_after="after"
    )
    with pytest.raises(run_up_actions.RunUpError, match="cannot be from after it"):
        run_up_actions.add_run(
            outer, run_up_actions.Upload(table(), "log.csv", {}), circumstances, who=crew.technician, at=now
        )


def test_a_release_from_before_run_ups_stood_on_it_still_verifies(
    service: Job, crew: Any, now: datetime
) -> None:
    old = Release(job=service, number="R-old", by=crew.technician, authority="T-1", at=now)
    old.engine_h, old.engine_sd_h = 1.0, 0.1
    programme.record_done(
        service.engine, service.task_id, now.date(), 1.0, "R-old", who=crew.technician, at=now
    )
    facts = {name: value for name, value in old.facts().items() if name != "run_ups"}
    with transaction.atomic():
        body = {"record": old._meta.label, "facts": facts}
        subject = f"job/{service.number}"
        old.entry_sequence = append("released to service", subject, body, actor="tilda", at=now).sequence
        old.save()
    assert verify().faults == ()
    assert "Run-ups" not in _paper(service)


@pytest.mark.parametrize("sheet_name", ["velisk-130.toml", "velisk-185.toml", "velisk-230.toml"])
def test_which_tasks_change_how_an_engine_runs(sheet_name: str) -> None:
    sheet = load_sheet(shipped_texts()[sheet_name], sheet_name)
    changing = {task.id for task in sheet.programme if of_visit.changes_the_running(task, sheet)}
    assert {
        "diaphragm-service", "carburettor-strip", "pop-off-and-hold", "air-filter-service", "reed-renewal",
        "fuel-filter-renewal", "ring-renewal", "seal-renewal", "case-test",
    } <= changing  # fmt: skip
    assert not changing & {
        "running-baseline", "full-run-up", "flange-check", "plug-look", "propeller-blades", "fuel-hoses-look",
        "frame-and-cage", "belt-tension",
    }  # fmt: skip
