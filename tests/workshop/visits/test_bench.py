"""The bench: pieces of a build, readings, and how a step is done, opened again and confirmed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from statistics import NormalDist
from typing import Any

import pytest

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.workshop.kernel.models import Entry
from tickover.workshop.people.actions import change_workshop
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Job, KitNote, Reading, SecondCheck, StepMark

pytestmark = pytest.mark.usefixtures("verified")

SERVICE = "diaphragm-service"


@pytest.fixture
def service(outer: Any, hands: Any) -> Job:
    """A diaphragm service on the engine with a pulse hose."""
    return hands.open(outer, SERVICE)


@pytest.fixture
def check(outer: Any, hands: Any) -> Job:
    """A flange check: a short card with one critical step, the torque."""
    return hands.open(outer)


def read(job: Job, typed: str, crew: Any, now: datetime, step: str = "lever-height", **more: Any) -> Reading:
    return actions.take_reading(job, step, typed, who=crew.technician, at=now, **more)


def parts(pieces: tuple[queries.Piece, ...]) -> set[str]:
    return {piece.part.id for piece in pieces}


def test_a_job_is_opened_by_the_newest_sheet(service: Job, sheet: Any, now: datetime) -> None:
    assert (service.number, service.sheet, service.card_id) == ("2025-0001", sheet, SERVICE)
    assert Entry.objects.get(sequence=service.entry_sequence).kind == "visit opened"


def test_one_job_for_one_task_of_one_engine(service: Job, outer: Any, inner: Any, hands: Any) -> None:
    with pytest.raises(actions.VisitError, match="Visit 2025-0001 is open for this already"):
        hands.open(outer, SERVICE)
    assert hands.open(outer, "flange-check").number == "2025-0002"
    assert hands.open(inner, SERVICE).number == "2025-0003"


def test_a_job_goes_on_by_the_sheet_it_was_opened_by(
    service: Job, sheet: Any, now: datetime, sheet_with: Callable[..., None]
) -> None:
    sheet_with("limits", "lever-height", note="Read it twice.")
    assert queries.job_sheet(service).sheet.version == sheet.version


def test_the_pieces_of_the_kit_differ_by_build(service: Job, inner: Any, hands: Any) -> None:
    outer_job, inner_job = queries.job_sheet(service), queries.job_sheet(hands.open(inner, SERVICE))
    assert {"pump-gasket-plain", "flange-gasket-plain"} <= parts(outer_job.use)
    assert {"pump-gasket-pulse", "flange-gasket-pulse"} <= parts(outer_job.lay_aside)
    assert {"pump-gasket-pulse", "flange-gasket-pulse"} <= parts(inner_job.use)
    assert {"pump-gasket-plain", "flange-gasket-plain"} <= parts(inner_job.lay_aside)
    for job in (outer_job, inner_job):
        assert not parts(job.use) & parts(job.lay_aside)
    assert parts(outer_job.use) | parts(outer_job.lay_aside) == parts(inner_job.use) | parts(
        inner_job.lay_aside
    )


def test_every_piece_laid_aside_says_why(service: Job) -> None:
    aside = queries.job_sheet(service).lay_aside
    assert len(aside) >= 4
    assert all(len(piece.because) > 20 for piece in aside)


def test_steps_of_the_other_build_do_not_exist(
    service: Job, inner: Any, hands: Any, crew: Any, now: datetime
) -> None:
    other = hands.open(inner, SERVICE)
    for job, foreign in ((service, "look-through"), (other, "pulse-hose-on")):
        assert foreign not in [line.step.id for line in queries.job_sheet(job).steps]
        with pytest.raises(LookupError, match="no step"):
            actions.mark_done(job, foreign, who=crew.technician, at=now)
    assert not StepMark.objects.exists()


def test_the_lot_of_the_kit_is_noted_and_the_newest_counts(service: Job, crew: Any, now: datetime) -> None:
    for lot in (" K-17 ", "K-18"):
        actions.note_kit(service, lot, who=crew.technician, at=now)
    assert queries.job_sheet(service).lot == "K-18"
    with pytest.raises(actions.VisitError, match="Type the lot printed on the kit bag"):
        actions.note_kit(service, " ", who=crew.technician, at=now)
    assert list(KitNote.objects.values_list("lot", flat=True)) == ["K-17", "K-18"]


@pytest.mark.parametrize("typed", ["1.4", "1,4", " 1,40 mm ", "1.4mm"])
def test_a_comma_is_taken_as_a_decimal_mark(service: Job, crew: Any, now: datetime, typed: str) -> None:
    reading = read(service, typed, crew, now)
    assert (reading.value, reading.unit, reading.decision) == (1.4, "mm", "inside")
    assert reading.typed == typed.strip()


def test_a_lost_decimal_mark_is_asked_about(service: Job, crew: Any, now: datetime) -> None:
    with pytest.raises(ImplausibleNumber, match=r"14 mm is far from anything.*Did you mean 1\.4 mm\?"):
        read(service, "14", crew, now)
    assert not Reading.objects.exists()


def test_a_number_that_is_insisted_on_is_taken_and_is_outside(service: Job, crew: Any, now: datetime) -> None:
    reading = read(service, "14", crew, now, confirmed=True)
    assert (reading.value, reading.decision) == (14.0, "outside")


@pytest.mark.parametrize("typed", ["abc", "", "1.4.2", "1,4 or so", "nan", "inf", "1e3", "--1"])
def test_what_is_not_one_number_is_refused(service: Job, crew: Any, now: datetime, typed: str) -> None:
    before = Entry.objects.count()
    with pytest.raises(NumberError, match="lever height"):
        read(service, typed, crew, now)
    assert (Reading.objects.count(), Entry.objects.count()) == (0, before)


@pytest.mark.parametrize("value", [1.10, 1.15, 1.18, 1.21, 1.24, 1.26, 1.40, 1.54, 1.57, 1.62, 1.70])
def test_a_guarded_reading_is_judged_by_its_chance(
    service: Job, crew: Any, now: datetime, value: float
) -> None:
    """JCGM 106:2012, 7 and 8, recomputed with Python's statistics.NormalDist.

    Limits 1.2 to 1.6 mm; gauge U = 0.05 mm (k = 2) and steps of 0.02 mm, so u = √(0.025² + 0.02²/12).
    """
    error = NormalDist(value, (0.025**2 + 0.02**2 / 12) ** 0.5)
    inside = error.cdf(1.6) - error.cdf(1.2)
    expected = "inside" if inside >= 0.95 else "outside" if inside <= 0.05 else "cannot tell"
    reading = read(service, f"{value:g}", crew, now)
    assert reading.decision == expected
    assert reading.probability_inside == pytest.approx(inside, abs=1e-9)


@pytest.mark.parametrize(
    ("typed", "decision"),
    [("1.15", "outside"), ("1.18", "cannot tell"), ("1.21", "cannot tell"), ("1.25", "inside")],
)
def test_near_the_limit_the_gauge_cannot_tell(
    service: Job, crew: Any, now: datetime, typed: str, decision: str
) -> None:
    assert read(service, typed, crew, now).decision == decision


def test_a_step_asks_for_its_reading_first(service: Job, crew: Any, now: datetime) -> None:
    with pytest.raises(actions.VisitError, match="needs a reading"):
        actions.mark_done(service, "lever-height", who=crew.technician, at=now)


def test_a_step_asks_for_what_was_found(check: Job, crew: Any, now: datetime) -> None:
    for finding in ("", "no-such-finding"):
        with pytest.raises(actions.VisitError, match="asks what you found"):
            actions.mark_done(check, "look-flange", finding_id=finding, who=crew.technician, at=now)


def test_a_step_without_a_reading_takes_none(check: Job, crew: Any, now: datetime) -> None:
    with pytest.raises(actions.VisitError, match="takes no reading"):
        read(check, "1", crew, now, step="make-safe")


def test_a_step_is_done_once(check: Job, hands: Any) -> None:
    hands.do(check, "make-safe")
    with pytest.raises(actions.VisitError, match="done already, by Tilda Reeve"):
        hands.do(check, "make-safe")
    assert StepMark.objects.count() == 1


def test_the_newest_reading_counts_and_the_first_stays(service: Job, crew: Any, now: datetime) -> None:
    read(service, "1.1", crew, now)
    read(service, "1.4", crew, now)
    line = queries.job_sheet(service).step("lever-height")
    assert [r.reading.value for r in line.readings] == [1.1, 1.4]
    assert line.reading.reading.value == 1.4


def test_a_done_step_takes_no_reading_before_it_is_opened_again(
    service: Job, hands: Any, crew: Any, now: datetime
) -> None:
    hands.do(service, "lever-height", checked=False)
    with pytest.raises(actions.VisitError, match="Open it again"):
        read(service, "1.3", crew, now)


def test_a_step_opened_again_asks_for_a_new_reading(
    service: Job, hands: Any, crew: Any, now: datetime
) -> None:
    hands.do(service, "lever-height")
    actions.reopen(service, "lever-height", "gauge was not zeroed", who=crew.technician, at=now)
    line = queries.job_sheet(service).step("lever-height")
    assert (line.done, line.reading, line.check) == (False, None, None)
    with pytest.raises(actions.VisitError, match="Save it first"):
        actions.mark_done(service, "lever-height", who=crew.technician, at=now)


def test_opening_again_wants_a_reason_and_a_step_that_is_done(
    check: Job, hands: Any, crew: Any, now: datetime
) -> None:
    with pytest.raises(actions.VisitError, match="is open already"):
        actions.reopen(check, "make-safe", "why not", who=crew.technician, at=now)
    hands.do(check, "make-safe")
    with pytest.raises(actions.VisitError, match="why the step is reopened"):
        actions.reopen(check, "make-safe", "  ", who=crew.technician, at=now)
    assert queries.job_sheet(check).step("make-safe").done


def test_a_step_opened_again_and_done_again_wants_a_new_second_check(
    check: Job, hands: Any, crew: Any, now: datetime
) -> None:
    hands.do(check, "flange-torque")
    actions.reopen(check, "flange-torque", "wrench set wrongly", who=crew.inspector, at=now)
    hands.do(check, "flange-torque", checked=False)
    assert queries.job_sheet(check).step("flange-torque").awaits_second_check
    assert SecondCheck.objects.count() == 1  # the first one stays to be seen


def test_the_doer_cannot_do_his_own_second_check(check: Job, hands: Any, crew: Any, now: datetime) -> None:
    hands.do(check, "flange-torque", checked=False)
    with pytest.raises(actions.VisitError, match="Ask a second person"):
        actions.second_check(check, "flange-torque", who=crew.technician, at=now, typed="10")
    assert queries.job_sheet(check).step("flange-torque").awaits_second_check


def test_a_second_person_reads_the_gauge_too(check: Job, hands: Any, crew: Any, now: datetime) -> None:
    hands.do(check, "flange-torque", checked=False)
    with pytest.raises(NumberError, match="nothing is typed"):
        actions.second_check(check, "flange-torque", who=crew.inspector, at=now)
    done = actions.second_check(check, "flange-torque", who=crew.inspector, at=now, typed="9,8")
    line = queries.job_sheet(check).step("flange-torque")
    assert (done.kind, done.by, line.settled) == ("second person", crew.inspector, True)
    assert [(r.reading.purpose, r.reading.value) for r in line.readings] == [
        ("step", 10.0),
        ("second check", 9.8),
    ]
    assert line.reading.reading.value == 10.0


def test_a_manager_confirms_nothing(check: Job, hands: Any, crew: Any, now: datetime) -> None:
    hands.do(check, "flange-torque", checked=False)
    with pytest.raises(actions.VisitError, match="manager, may not confirm"):
        actions.second_check(check, "flange-torque", who=crew.manager, at=now, typed="10")


def test_a_step_is_confirmed_once(check: Job, hands: Any, crew: Any, now: datetime) -> None:
    hands.do(check, "flange-torque")
    with pytest.raises(actions.VisitError, match="no second check open"):
        actions.second_check(check, "flange-torque", who=crew.inspector, at=now, typed="10")
    with pytest.raises(actions.VisitError, match="no second check open"):
        actions.second_check(check, "make-safe", who=crew.inspector, at=now)


@pytest.mark.parametrize(("typed", "decision"), [("1.1", "outside"), ("1.21", "cannot tell")])
def test_a_second_reading_that_disagrees_opens_the_step_again(
    service: Job, hands: Any, crew: Any, now: datetime, typed: str, decision: str
) -> None:
    hands.do(service, "lever-height", checked=False)
    answer = actions.second_check(service, "lever-height", who=crew.inspector, at=now, typed=typed)
    line = queries.job_sheet(service).step("lever-height")
    assert (answer, line.done, line.check) == (None, False, None)
    assert line.mark.remark == f"second check read {typed} mm: {decision}"
    assert [r.reading.decision for r in line.readings] == ["inside", decision]


def test_an_implausible_second_reading_is_asked_about_and_changes_nothing(
    service: Job, hands: Any, crew: Any, now: datetime
) -> None:
    hands.do(service, "lever-height", checked=False)
    with pytest.raises(ImplausibleNumber):
        actions.second_check(service, "lever-height", who=crew.inspector, at=now, typed="14")
    assert queries.job_sheet(service).step("lever-height").awaits_second_check
    assert Reading.objects.count() == 1


def test_one_who_works_alone_looks_a_second_time_after_some_minutes(
    check: Job, hands: Any, crew: Any, now: datetime
) -> None:
    change_workshop({"works_alone": True, "second_look_minutes": 10}, "alone", actor="maud", at=now)
    hands.do(check, "flange-torque", checked=False)
    look = {"who": crew.technician, "typed": "10"}
    with pytest.raises(actions.VisitError, match=r"Too soon.* after 09:10 UTC"):
        actions.second_check(check, "flange-torque", at=now + timedelta(minutes=9, seconds=59), **look)
    done = actions.second_check(check, "flange-torque", at=now + timedelta(minutes=10), **look)
    assert done.kind == "second look"
