"""A second check holds: what closes the step over and every run wait for it, and it is refused once covered."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pypdf
import pytest
from django.test import Client

from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import blank_card, job_papers
from tickover.workshop.people.actions import change_workshop
from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.visits import actions, hold_points, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import NotMeasured, Reading, SecondCheck, StepMark

pytestmark = pytest.mark.usefixtures("verified")

SERVICE, LEVER, COVER = "diaphragm-service", "lever-height", "metering-gasket"


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def service(outer: Any, hands: Any) -> Any:
    """A diaphragm service with the lever done, and not confirmed yet."""
    job = hands.open(outer, SERVICE)
    hands.do(job, LEVER, checked=False)
    return job


def ready_to_run(job: Any, hands: Any, card: str = "") -> None:
    """Everything confirmed that stands on the card itself before its run."""
    for step_id in ("safe-to-run", "throttle-try", "restrain", "stop-proved"):
        hands.do(job, f"{card}{step_id}")


def confirm(job: Any, crew: Any, now: datetime, step: str = LEVER, typed: str = "1.4") -> SecondCheck | None:
    return actions.second_check(job, step, who=crew.inspector, at=now, typed=typed)


def refused(says: str, action: Callable[[], object]) -> None:
    before = Entry.objects.count()
    with pytest.raises(VisitError, match=says):
        action()
    assert Entry.objects.count() == before


def test_the_cover_is_not_closed_over_a_lever_that_nobody_confirmed(
    service: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    says = (
        r"Step 28 waits for the second check of step 23 \(Measure the lever's height from the body face\): "
        r"Ingo Halm can give it\. Nothing was changed\."
    )
    refused(says, lambda: actions.mark_done(service, COVER, **by))
    refused("Step 39 waits for the second check", lambda: actions.mark_done(service, "carburettor-on", **by))
    confirm(service, crew, now)
    assert actions.mark_done(service, COVER, **by)


def test_a_step_that_was_never_done_holds_as_one_that_was_not_confirmed(
    outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    job = hands.open(outer, SERVICE)
    says = r"waits for step 23 \(Measure the lever.*\) and its second check: do step 23 first"
    refused(says, lambda: actions.mark_done(job, COVER, **by))


def test_what_does_not_close_it_over_goes_on(service: Any, hands: Any) -> None:
    """The pop-off is read with the lever in sight."""
    hands.do(service, "pop-off")
    assert queries.job_sheet(service).step("pop-off").done


def test_no_run_is_recorded_while_a_second_check_is_open(
    service: Any, by: dict[str, Any], crew: Any, now: datetime, hands: Any
) -> None:
    confirm(service, crew, now)
    hands.do(service, "leak-look", checked=False)
    for action in (
        lambda: actions.take_reading(service, "static-rpm", "6200", **by),
        lambda: actions.leave_unmeasured(service, "static-rpm", "no meter", **by),
        lambda: actions.mark_done(service, "warm-up", **by),
    ):
        refused(r"waits for .* and \d+ more: do step \d+ first|waits for the second check", action)
    assert not Reading.objects.filter(step_id="static-rpm").exists() and not NotMeasured.objects.exists()
    hands.do_all(service, but=("leak-look", "warm-up", "idle-rpm", "static-rpm", "cht", "stop-by-switch"))
    refused(
        r"waits for the second check of step 45 \(Open the fuel, prime, and look for leaks\): Ingo Halm",
        lambda: actions.take_reading(service, "static-rpm", "6200", **by),
    )
    actions.second_check(service, "leak-look", who=crew.inspector, at=now)
    hands.do(service, "warm-up")


def test_a_run_on_an_added_card_waits_for_every_card_that_was_begun(
    service: Any, by: dict[str, Any], crew: Any, now: datetime, hands: Any
) -> None:
    actions.add_task(service, "running-baseline", "asked for", **by)
    ready_to_run(service, hands, "running-baseline.")
    warm = "running-baseline.warm"
    says = r"waits for the second check of step 1 \(Measure the lever's height.*\) and \d+ more"
    refused(says, lambda: actions.mark_done(service, warm, **by))
    confirm(service, crew, now)
    refused(r"waits for step \d+ .*and its second check", lambda: actions.mark_done(service, warm, **by))
    steps = [line.step.id for line in queries.job_sheet(service).steps if not line.done]
    for step in steps[: steps.index(warm)]:
        hands.do(service, step)
    hands.do(service, warm)


def test_a_run_waits_for_other_open_jobs_of_the_engine(
    outer: Any, inner: Any, hands: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    check, run, other = (
        hands.open(outer),
        hands.open(outer, "running-baseline"),
        hands.open(inner, "running-baseline"),
    )
    ready_to_run(run, hands)
    ready_to_run(other, hands)
    hands.do(check, "flange-torque", checked=False)
    says = rf"waits for the second check of step 5 of visit {check.number} \(Try each nut"
    refused(says, lambda: actions.mark_done(run, "warm", **by))
    hands.do(other, "warm")
    actions.second_check(check, "flange-torque", who=crew.inspector, at=now, typed="10")
    hands.do(run, "warm")


def test_a_hold_of_an_added_card_is_within_that_card(outer: Any, hands: Any, by: dict[str, Any]) -> None:
    job = hands.open(outer)
    actions.add_task(job, "nuts-cold", "while it is here", **by)
    hands.do(job, "nuts-cold.head-torque", checked=False)
    refused("waits for the second check", lambda: actions.mark_done(job, "nuts-cold.paint-again", **by))
    hands.do(job, "flange-torque")
    hands.do(job, "paint-again")


def test_a_run_up_after_the_work_is_not_taken_while_a_second_check_is_open(
    service: Any, outer: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    file = run_up_actions.Upload(b"no log at all", "run.csv", {})
    after = run_up_actions.Circumstances(now.date(), job=service, before_or_after="after")
    says = r"A run-up waits for the second check of step 23 .*: Ingo Halm can give it\. Nothing was added\."
    with pytest.raises(run_up_actions.RunUpError, match=says):
        run_up_actions.add_run(outer, file, after, **by)
    confirm(service, crew, now)
    with pytest.raises(run_up_actions.FormatError):
        run_up_actions.add_run(outer, file, after, **by)


def test_a_second_check_of_what_is_closed_over_is_no_measurement(
    service: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    """A job from before holds were kept: its cover was closed with the check open."""
    for step in (COVER, "metering-cover-on"):
        row = StepMark(job=service, step_id=step, state=StepMark.State.DONE, by=crew.technician, at=now)
        actions.journal.record(row, "step done", f"job/{service.number}", actor="tilda", at=now)
        del row
    says = r"Steps 28 and 30 cover step 23 and are done\. Open up the work and reopen them first"
    refused(says, lambda: confirm(service, crew, now))
    actions.reopen(service, LEVER, "to be read again", **by)
    refused(says, lambda: actions.take_reading(service, LEVER, "1.4", **by))
    for step in ("metering-cover-on", COVER):
        actions.reopen(service, step, "opened up", **by)
    actions.take_reading(service, LEVER, "1.4", **by)
    actions.mark_done(service, LEVER, **by)
    assert confirm(service, crew, now)


def test_a_step_opened_again_after_its_check_holds_again(
    service: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    confirm(service, crew, now)
    actions.reopen(service, LEVER, "knocked on the bench", **by)
    refused("and its second check: do step 23 first", lambda: actions.mark_done(service, COVER, **by))


def test_whoever_read_the_gauge_is_no_second_person(
    outer: Any, hands: Any, by: dict[str, Any], crew: Any, now: datetime
) -> None:
    job = hands.open(outer, SERVICE)
    actions.take_reading(job, LEVER, "1.4", who=crew.inspector, at=now)
    actions.mark_done(job, LEVER, **by)
    refused("You did or read this critical step", lambda: confirm(job, crew, now))


def test_one_who_works_alone_is_told_from_when_the_second_look_counts(
    service: Any, by: dict[str, Any], now: datetime
) -> None:
    change_workshop({"works_alone": True, "second_look_minutes": 10}, "alone", actor="maud", at=now)
    refused(
        r"second check of step 23 .*: a second look is possible from 09:10 UTC\.",
        lambda: actions.mark_done(service, COVER, **by),
    )
    later = {"who": by["who"], "at": now + timedelta(minutes=10)}
    actions.second_check(service, LEVER, typed="1.4", **later)
    assert actions.mark_done(service, COVER, **later)


def test_a_sheet_that_says_nothing_holds_the_steps_that_close_a_joint(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    sheet_with("cards.steps", LEVER, without="acts", hold_before=[])
    job = hands.open(outer, SERVICE)
    line = queries.job_sheet(job).step(LEVER)
    held = [s.step.id for s in hold_points.named_by(queries.job_sheet(job), line)]
    assert held[:3] == [COVER, "hook-diaphragm", "metering-cover-on"] and "flange-torque" in held
    assert not {"pop-off", "cable-slack", "hand-back"} & set(held)
    refused("do step 23 first", lambda: actions.mark_done(job, COVER, **by))


def test_the_card_on_paper_says_before_what_to_hold(service: Any, outer: Any) -> None:
    says = "Hold: before step 28: Lay the new metering gasket on the body, and before the engine runs"
    for card in (job_papers.work_card(queries.job_sheet(service)), blank_card.blank_card(outer, SERVICE)):
        pages = pypdf.PdfReader(io.BytesIO(card)).pages
        assert says in " ".join(" ".join(p.extract_text() for p in pages).split())


# Pages


def page(client: Client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


def test_the_page_of_a_step_says_before_what_it_is_a_hold_point(
    service: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    shown = page(signed_in(crew.technician), f"/visits/{service.number}/steps/{LEVER}/")
    assert (
        "<strong>HOLD</strong> before step 28: Lay the new metering gasket on the body, and before the engine runs."
        in shown
    )


def test_the_page_of_a_held_step_says_why_with_a_link_and_has_no_form(
    service: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    client = signed_in(crew.technician)
    shown = page(client, f"/visits/{service.number}/steps/{COVER}/")
    assert (
        f'<strong>On hold.</strong> Waits for <a href="/visits/{service.number}/steps/{LEVER}/">the second check'
        in shown
    )
    assert "Ingo Halm can give it." in shown and "Done, next" not in shown
    answer = client.post(f"/visits/{service.number}/steps/{COVER}/done/", {}, follow=True)
    assert "waits for the second check of step 23" in answer.content.decode()


def test_today_begins_with_the_second_checks_that_wait_for_one(
    service: Any, hands: Any, crew: Any, signed_in: Callable[..., Client], by: dict[str, Any]
) -> None:
    hands.do(service, "leak-look", checked=False)
    shown = page(signed_in(crew.inspector), "/")
    assert shown.index("Second checks for you") < shown.index("Others on the bench")
    assert "Outer: step 23, Measure the lever" in shown and "Outer: step 45, Open the fuel" in shown
    assert f'href="/visits/{service.number}/steps/{LEVER}/">Check<span' in shown
    for nobody in (crew.technician, crew.manager):
        assert "Second checks for you" not in page(signed_in(nobody), "/")
    actions.pause(service, "stand 2", "parts", **by)
    assert "Second checks for you" not in page(signed_in(crew.inspector), "/")


def test_the_editor_offers_the_later_steps_of_the_card(
    sheet: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    client = signed_in(crew.inspector)
    card = page(client, f"/type-sheets/{sheet.sheet_id}/cards/{SERVICE}/")
    assert "hold before step 30; step 31; step 32; step 43;" in card and "The engine runs." in card
    form = page(client, f"/type-sheets/{sheet.sheet_id}/cards/{SERVICE}/steps/{LEVER}/")
    for name, offered in ((COVER, True), ("carburettor-on", True), ("fit-lever", False), (LEVER, False)):
        assert (f'name="hold_before" value="{name}"' in form) is offered, name
