"""What cannot be undone: it stays with the job until it is answered, and is named wherever the job is."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.test import Client

from tests.kept import once
from tests.workshop.web.run_ups.test_run_ups_pages import table
from tickover.workshop.kernel.models import Entry as Journal
from tickover.workshop.logbook import hand_back, job_papers, sections
from tickover.workshop.people.actions import change_workshop
from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.run_ups import of_visit
from tickover.workshop.visits import actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.actions import TypedReading, VisitError
from tickover.workshop.visits.models import ExceedanceAnswer, Job, Reading, Release
from tickover.workshop.visits.steps.exceedances import Spot

pytestmark = pytest.mark.usefixtures("verified")

FLANGE = Spot("flange-torque", "flange-torque")
SEEN = "Dent of 0.1 mm under one nut, no crack at 10 times; flat on the plate."


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def check(outer: Any, hands: Any) -> Job:
    job: Job = hands.open(outer, "flange-check")
    return job


@pytest.fixture
def overtightened(check: Job, hands: Any, by: dict[str, Any], data_folder: Path) -> Job:
    """12 N.m on a flange with "never more than 10", then 9.5 on a second try, and everything else in order."""

    def tightened() -> Job:
        actions.take_reading(check, "flange-torque", "12", **by)
        hands.do(check, "flange-torque", typed="9.5")
        hands.do_all(check)
        return check

    return once("flange tightened too far", tightened, data_folder)


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())


def open_ones(job: Job) -> list[str]:
    found = visits.job_sheet(job).exceedances
    return [e.said for e in found if e.answer is None and not e.spot.of_wrench]


# What counts


@pytest.mark.parametrize(
    ("typed", "exceeds"), [("9.99", False), ("10", False), ("10.01", True), ("12", True)]
)
def test_the_figure_itself_is_allowed_and_no_more(
    check: Job, by: dict[str, Any], typed: str, exceeds: bool
) -> None:
    actions.take_reading(check, "flange-torque", typed, **by)
    # Its second check is open or to come: the page of the step alone knows.
    assert bool(open_ones(check)) == exceeds


def test_exactly_the_figure_in_another_unit_is_allowed(check: Job, by: dict[str, Any]) -> None:
    """10 N.m is 88.5075 in-lb (NIST SP 811, appendix B: 0.1129848 N.m each)."""
    actions.take_reading(check, "flange-torque", TypedReading({"typed": "88.50745791"}, unit="in-lb"), **by)
    assert not open_ones(check)
    actions.take_reading(check, "flange-torque", TypedReading({"typed": "88.6"}, unit="in-lb"), **by)
    assert len(open_ones(check)) == 1


def test_a_better_second_try_does_not_undo_it(overtightened: Job, hands: Any) -> None:
    (said,) = open_ones(overtightened)
    assert "12.0 N.m set (never more than 10 N.m; by Tilda Reeve" in said
    with pytest.raises(VisitError, match=r"Exceedance not answered.*12\.0 N\.m"):
        hands.release(overtightened)
    assert not Release.objects.exists()


def test_a_step_opened_again_keeps_it(overtightened: Job, hands: Any, by: dict[str, Any]) -> None:
    for step_id in ("paint-again", "flange-torque"):
        actions.reopen(overtightened, step_id, "nut moved", **by)
    hands.do(overtightened, "flange-torque", typed="9.5")
    assert len(open_ones(overtightened)) == 1


def test_a_second_check_beyond_counts(check: Job, hands: Any, crew: Any, now: datetime) -> None:
    hands.do(check, "flange-torque", checked=False)
    assert actions.second_check(check, "flange-torque", typed="11", who=crew.inspector, at=now) is None
    hands.do_all(check)
    (said,) = open_ones(check)
    assert "11.0 N.m set at the second check" in said and "by Ingo Halm" in said


def test_as_found_counts_too(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    sheet_with("cards.steps", "flange-torque", moment="as found")
    job = hands.open(outer)
    actions.take_reading(job, "flange-torque", "12", **by)
    actions.mark_done(job, "flange-torque", **by)
    actions.second_check(job, "flange-torque", typed="12", who=crew.inspector, at=now)
    assert (
        "12.0 N.m read" in open_ones(job)[0]
        and "; then 12.0 N.m read at the second check" in open_ones(job)[0]
    )


def test_one_of_several_readings_beyond_counts_though_the_median_is_not(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    sheet_with("limits", "flange-torque", repeats=3)
    job = hands.open(outer)
    row = actions.take_reading(job, "flange-torque", "9.5; 10.5; 9.6", **by)
    assert row.value == 9.6
    assert "10.5 N.m set" in open_ones(job)[0] and "9.6" not in open_ones(job)[0]


def test_a_confirmed_reading_that_nobody_believes_counts(check: Job, by: dict[str, Any]) -> None:
    actions.take_reading(check, "flange-torque", TypedReading({"typed": "120"}, confirmed=True), **by)
    assert "120.0 N.m set" in open_ones(check)[0]


def test_where_the_gauge_leaves_it_open_it_is_asked_and_said(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """The sheet supposes 0.4 N.m (k = 2) in steps of 0.2: expanded 2 x sqrt(0.2^2 + 0.2^2/12) = 0.416."""
    sheet_with("cards.steps", "flange-torque", moment="as found")
    job = hands.open(outer)
    actions.take_reading(job, "flange-torque", "10.4", **by)
    assert "it may have been inside; it counts as read" in open_ones(job)[0]
    actions.take_reading(job, "flange-torque", "10.5", **by)
    (both,) = open_ones(job)
    assert both.count("may have been inside") == 1


def test_a_setting_is_beyond_or_is_not_whatever_the_tool_gave(check: Job, by: dict[str, Any]) -> None:
    actions.take_reading(check, "flange-torque", "10.2", **by)
    assert (
        "10.2 N.m set (never more than 10 N.m" in open_ones(check)[0] and "within" not in open_ones(check)[0]
    )


def test_too_much_pressure_in_a_loss_test_is_one_though_the_loss_is_small(
    outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """Never over 0.5 bar: a bung can fly and seals unseat. The loss itself may be 0.01 bar."""
    job = hands.open(outer, "case-test")
    line = next(s for s in visits.job_sheet(job).steps if s.limit and s.limit.id == "case-pressure-loss")
    for start, expected in (("0.5", 0), ("0.51", 1)):
        values = {"of-start": start, "of-end": start, "of-minutes": "10"}
        actions.take_reading(job, line.step.id, TypedReading(values, confirmed=True), **by)
        assert len(open_ones(job)) == expected
    assert "0.51 and 0.51 bar read (never more than 0.5 bar" in open_ones(job)[0]


def test_the_most_a_joint_may_be_tightened_to_counts_where_it_is_tightened(
    outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """The page says "never more than 22 N·m" of the head nuts."""
    job = hands.open(outer, "nuts-cold")
    (line,) = [s for s in visits.job_sheet(job).steps if s.limit and s.limit.id == "head-torque"]
    assert line.never.above == 22.0 and line.step.joint
    actions.take_reading(job, line.step.id, "22.1", **by)
    assert "22.1 N.m" in open_ones(job)[0]


# How it is answered


def test_a_renewed_part_answers_it_and_is_named_everywhere(
    overtightened: Job, hands: Any, by: dict[str, Any], signed_in: Callable[..., Client], crew: Any
) -> None:
    actions.renew_part(overtightened, FLANGE, "Inlet flange, plastic", lot="L-31", **by)
    assert not open_ones(overtightened)
    hands.release(overtightened)
    sheet = visits.job_sheet(overtightened)
    (held,) = sheet.release.exceedances
    assert "12.0 N.m" in held["said"]
    told = "Part renewed: Inlet flange, plastic, lot L-31, by Tilda Reeve, 5 May 2025."
    assert held["answer"] == told
    for pdf in (job_papers.release(sheet), job_papers.work_card(sheet), hand_back.hand_back(sheet)):
        assert told in words(pdf) and "12.0 N·m set (never more than 10 N·m" in words(pdf)
    jobs = next(s for s in sections.sections(sheet.job.engine, hands.at) if s.title == "Visits and releases")
    assert told in " ".join(jobs.rows[0])
    client = signed_in(crew.technician)
    for address in ("", "release/", "exceedances/"):
        assert told in client.get(f"/visits/{sheet.job.number}/{address}").content.decode()
    entry = Journal.objects.get(kind="exceedance answered")
    assert "12.0 N.m set" in entry.body and "L-31" in entry.body


def test_an_inspector_decides_in_words(overtightened: Job, hands: Any, crew: Any, now: datetime) -> None:
    row = actions.decide_exceedance(overtightened, FLANGE, SEEN, who=crew.inspector, at=now)
    assert not row.second_look and row.entries == [Reading.objects.earliest("id").entry_sequence]
    hands.release(overtightened)
    assert Release.objects.get().exceedances[0]["answer"] == f"Decision of Ingo Halm, 5 May 2025: {SEEN}"


def test_neither_who_did_it_nor_a_manager_decides(overtightened: Job, crew: Any, now: datetime) -> None:
    for who in (crew.technician, crew.manager):
        with pytest.raises(VisitError, match="An inspector who did not do this work decides"):
            actions.decide_exceedance(overtightened, FLANGE, SEEN, who=who, at=now)
    assert not ExceedanceAnswer.objects.exists()


def test_an_inspector_does_not_decide_on_their_own_work(
    check: Job, hands: Any, crew: Any, now: datetime
) -> None:
    actions.take_reading(check, "flange-torque", "12", who=crew.inspector, at=now)
    hands.do_all(check)
    with pytest.raises(VisitError, match="who did not do this work"):
        actions.decide_exceedance(check, FLANGE, SEEN, who=crew.inspector, at=now)


@pytest.mark.parametrize("give", [actions.renew_part, actions.decide_exceedance])
@pytest.mark.parametrize("said", ["", "  \n"])
def test_an_answer_without_words_is_none(
    overtightened: Job, crew: Any, now: datetime, give: Callable[..., Any], said: str
) -> None:
    with pytest.raises(VisitError, match=r"Nothing was (saved|recorded)"):
        give(overtightened, FLANGE, said, who=crew.inspector, at=now)


def test_what_comes_after_an_answer_is_a_new_one(
    overtightened: Job, hands: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    actions.renew_part(overtightened, FLANGE, "Inlet flange", **by)
    with pytest.raises(VisitError, match="No exceedance waits"):
        actions.renew_part(overtightened, FLANGE, "Inlet flange", **by)
    for step_id in ("paint-again", "flange-torque"):
        actions.reopen(overtightened, step_id, "new flange", **by)
    actions.take_reading(overtightened, "flange-torque", "11", **by)
    hands.do(overtightened, "flange-torque", typed="9.5")
    (said,) = open_ones(overtightened)
    assert "11.0 N.m" in said and "12.0" not in said


def test_who_works_alone_decides_at_a_second_look_and_the_release_says_so(
    overtightened: Job, hands: Any, crew: Any, now: datetime
) -> None:
    change_workshop({"works_alone": True, "second_look_minutes": 10}, "alone", actor="maud", at=now)
    early, ready = now + timedelta(minutes=9, seconds=59), now + timedelta(minutes=10)
    with pytest.raises(
        VisitError, match=r"Too soon\. Leave the bench and take a second look after 09:10 UTC"
    ):
        actions.decide_exceedance(overtightened, FLANGE, SEEN, who=crew.technician, at=early)
    actions.decide_exceedance(overtightened, FLANGE, SEEN, who=crew.technician, at=ready)
    hands.release(overtightened)
    answer = Release.objects.get().exceedances[0]["answer"]
    assert "Decision of Tilda Reeve, who did the work and works alone, at a second look" in answer


def test_it_waits_until_the_blind_second_reading_is_in(
    check: Job, hands: Any, by: dict[str, Any], crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    """Else it would tell the first reading to whoever takes the second."""
    actions.take_reading(check, "flange-torque", "12", **by)
    hands.do(check, "flange-torque", typed="9.5", checked=False)
    assert not open_ones(check)
    for address in ("", "exceedances/", "steps/flange-torque/"):
        assert (
            "12.0" not in signed_in(crew.inspector).get(f"/visits/{check.number}/{address}").content.decode()
        )
    with pytest.raises(VisitError, match="No exceedance waits"):
        actions.decide_exceedance(check, FLANGE, SEEN, who=crew.inspector, at=now)
    actions.second_check(check, "flange-torque", typed="9.5", who=crew.inspector, at=now)
    assert len(open_ones(check)) == 1


# On a run-up


@pytest.fixture
def service(outer: Any, hands: Any, data_folder: Path) -> Job:
    def done() -> Job:
        job: Job = hands.open(outer, "diaphragm-service")
        hands.do_all(job)
        return job

    return once("diaphragm service done", done, data_folder)


def run_up(job: Job, crew: Any, now: datetime, moment: str = "after", **run: Any) -> Spot:
    circumstances = run_up_actions.Circumstances(now.date(), 15.0, 1013.0, job=job, before_or_after=moment)
    row = run_up_actions.add_run(
        job.engine,
        run_up_actions.Upload(table(**run), "log.csv", {}),
        circumstances,
        who=crew.technician,
        at=now,
    )
    return Spot(f"run/{row.entry_sequence}", "cht-stop")


@pytest.mark.parametrize("moment", ["before", "after"])
def test_a_stop_temperature_passed_is_not_put_right_by_a_later_run(
    service: Job, hands: Any, crew: Any, now: datetime, moment: str
) -> None:
    spot = run_up(service, crew, now, moment, cht=270.0)
    run_up(service, crew, now, seed=5)
    with pytest.raises(VisitError, match=r"Exceedance not answered\. Run-up .*The cylinder head reached"):
        hands.release(service)
    actions.renew_part(service, spot, "Piston and rings", who=crew.technician, at=now)
    hands.release(service)
    (held,) = Release.objects.get().exceedances
    assert "The cylinder head reached" in held["said"] and "Part renewed: Piston and rings" in held["answer"]


def test_an_over_speed_by_the_makers_figure_is_one(
    sheet_with: Callable[..., None], outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    sheet_with("limits", "static-rpm", never_above=8900.0)
    job = hands.open(outer, "diaphragm-service")
    hands.do_all(job)
    run_up(job, crew, now, full=8700.0, climb=0.0)
    assert not of_visit.exceedances(of_visit.judged_run_ups(job))
    spot = run_up(job, crew, now, full=9000.0, climb=0.0)
    (found,) = of_visit.exceedances(of_visit.judged_run_ups(job))
    assert found.spot == Spot(spot.place, "rpm-stop") and "Never more than 8900 rpm" in found.said


# Pages


def test_the_page_offers_what_each_may_do(
    overtightened: Job, signed_in: Callable[..., Client], crew: Any
) -> None:
    address = f"/visits/{overtightened.number}/exceedances/"
    by_technician = signed_in(crew.technician).get(address).content.decode()
    assert "Record new part" in by_technician and "Record decision" not in by_technician
    assert '<option value="Inlet flange' in by_technician
    assert "Record decision" in signed_in(crew.inspector).get(address).content.decode()
    by_manager = signed_in(crew.manager).get(address).content.decode()
    assert "Record decision" not in by_manager


def test_the_forms_answer(overtightened: Job, signed_in: Callable[..., Client], crew: Any) -> None:
    client, address = signed_in(crew.inspector), f"/visits/{overtightened.number}/exceedances/"
    spot = {"place": FLANGE.place, "what": FLANGE.what}
    assert client.get(f"{address}decision/").status_code == 405
    client.post(f"{address}decision/", {**spot, "words": " "})
    assert len(open_ones(overtightened)) == 1
    signed_in(crew.manager).post(f"{address}decision/", {**spot, "words": SEEN})
    signed_in(crew.manager).post(f"{address}renewed/", {**spot, "place": "nowhere", "part": "x"})
    assert len(open_ones(overtightened)) == 1
    answer = client.post(f"{address}decision/", {**spot, "words": SEEN})
    assert answer["Location"] == address
    assert not open_ones(overtightened)


def test_the_release_page_says_what_it_waits_for(
    overtightened: Job, signed_in: Callable[..., Client], crew: Any
) -> None:
    page = signed_in(crew.inspector).get(f"/visits/{overtightened.number}/release/").content.decode()
    assert "Not answered: no release." in page and "Answer exceedances" in page
    assert "Release Outer</button>" not in page
