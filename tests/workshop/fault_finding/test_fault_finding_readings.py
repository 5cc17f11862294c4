"""What the bench has measured already, in a fault-finding session: counted, offered, or only told."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from tickover.workshop.fault_finding import actions, queries, reasoning
from tickover.workshop.fault_finding.actions import FaultFindingError, NewSession
from tickover.workshop.fault_finding.evidence import from_readings, notes
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.fault_finding.recording import record_actions
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.visits.actions import TypedReading as Entered

pytestmark = pytest.mark.usefixtures("verified")

LOST = Entered({"of-start": "0.35", "of-end": "0.29", "of-minutes": "10"})
Begin = Callable[..., Session]


@pytest.fixture
def begin(outer: Any, crew: Any, now: Any) -> Begin:
    def start(*seen: str) -> Session:
        return actions.start(outer, NewSession("Idle surges.", seen=seen), who=crew.technician, at=now)

    return start


@pytest.fixture
def look(crew: Any, now: Any) -> Callable[..., None]:
    def answer(session: Session, item: str, state: str) -> None:
        actions.answer(session, {item: state}, who=crew.technician, at=now)

    return answer


def _sheet(session: Session) -> SessionSheet:
    return queries.session_sheet(session)


class TestReadingsOfTheWorkshop:
    """Readings that the bench has already are counted or offered, and each can be refused."""

    @pytest.fixture
    def leaky(self, outer: Any, hands: Any) -> Any:
        job = hands.open(outer, "compression-check")
        for line in _steps(job):
            hands.do(job, line.step.id, typed="5.9" if line.limit and line.limit.id == "compression" else "")
            if line.limit and line.limit.id == "compression":
                break
        return job

    def test_every_row_of_the_table_names_a_limit_and_a_finding_of_a_shipped_sheet(self) -> None:
        from tickover.sheets import shipped_sheets

        sheets = [s for s in shipped_sheets().values() if s.faults]
        limits = {row.id for s in sheets for row in s.limits}
        items = {row.id for s in sheets if s.faults for row in s.faults.shown}
        named = {item for t in from_readings.TOLD_BY.values() for item in (t.below, t.above) if item}
        assert from_readings.TOLD_BY.keys() <= limits and named <= items

    def test_a_reading_outside_its_limit_counts_by_itself_and_says_where_it_is_from(
        self, leaky: Any, begin: Begin
    ) -> None:
        sheet = _sheet(begin())
        (answer,) = sheet.known
        assert (answer.item, answer.state) == ("compression", "seen")
        assert "5.9" in answer.words and leaky.number in answer.words
        assert answer.rests_on.startswith("reading/")

    def test_it_can_be_refused_and_is_not_offered_again(
        self, leaky: Any, begin: Begin, crew: Any, now: Any
    ) -> None:
        session = begin()
        actions.take_back(session, _sheet(session).known[0].pk, who=crew.technician, at=now)
        assert _sheet(session).known == () and from_readings.offers(_sheet(session), now) == []

    def test_an_old_reading_is_only_offered(self, leaky: Any, outer: Any, crew: Any, now: Any) -> None:
        later = now + timedelta(days=500)
        session = actions.start(outer, NewSession("Weak"), who=crew.technician, at=later)
        assert _sheet(session).known == ()
        (offer,) = from_readings.offers(_sheet(session), later)
        record_actions.use_record(
            session, offer.rests_on, [offer.item], counts=True, who=crew.technician, at=later
        )
        assert _sheet(session).evidence.seen == {"compression"}
        with pytest.raises(FaultFindingError, match="answered for already"):
            record_actions.use_record(
                session, offer.rests_on, [offer.item], counts=False, who=crew.technician, at=later
            )

    def test_a_reading_taken_meanwhile_inside_its_limits_is_not_there_at_the_next_answer(
        self, begin: Begin, hands: Any, outer: Any, now: Any, look: Any
    ) -> None:
        session = begin()
        hands.do_all(hands.open(outer, "compression-check"))
        look(session, "louder", "not there")
        assert "compression" in _sheet(session).evidence.absent

    def test_a_reading_taken_meanwhile_can_be_refused(
        self, begin: Begin, hands: Any, outer: Any, now: Any, crew: Any
    ) -> None:
        session = begin()
        job = hands.open(outer, "compression-check")
        hands.do_all(job)
        (offer,) = [o for o in from_readings.offers(_sheet(session), now) if o.item == "compression"]
        assert offer.state == "not there"
        record_actions.use_record(
            session, offer.rests_on, [offer.item], counts=False, who=crew.technician, at=now
        )
        assert "compression" not in {o.item for o in from_readings.offers(_sheet(session), now)}
        assert _sheet(session).evidence.absent == frozenset()


class TestNotes:
    """What is told and moves no chance."""

    def test_work_done_lately_is_told(self, begin: Begin, hands: Any, outer: Any, now: Any) -> None:
        job = hands.open(outer, "flange-check")
        hands.do_all(job)
        hands.release(job)
        sheet = _sheet(begin("idle-races"))
        told = notes.notes(sheet, reasoning.diagnose(sheet), now)
        (note,) = [n for n in told if n.job_number == job.number]
        assert "done 0.0 h ago" in note.words and "Intake flange" in note.words

    def test_the_leak_of_a_case_test_is_told_as_a_share_of_the_air(
        self, begin: Begin, hands: Any, outer: Any, now: Any
    ) -> None:
        job = hands.open(outer, "case-test")
        for line in _steps(job):
            loses = line.limit is not None and line.limit.id == "case-pressure-loss"
            hands.do(job, line.step.id, typed=LOST if loses else "")
            if loses:
                break
        sheet = _sheet(begin("idle-races"))
        told = [n for n in notes.notes(sheet, reasoning.diagnose(sheet), now) if n.working]
        assert "of the air at idle" in told[0].words and told[0].job_number == job.number
        # By hand, ideal gas: 650 cm3 lose 0.06 bar of 1.01325 bar in 10 min, against 185 cm3 x 2000 rpm x 0.17.
        by_hand = 650 * (288.15 / 293.15) * 0.06 / 1.01325 / 10 / (184.98 * 2000 * 0.17)
        assert told[0].working is not None
        assert told[0].working.result.value == pytest.approx(by_hand, rel=0.01)


def _steps(job: Any) -> Any:
    from tickover.workshop.visits import queries as visits

    return visits.job_sheet(job).steps
