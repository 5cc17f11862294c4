"""What came of it: the job of the cure and its session, comebacks, whether it was cured, and what it was."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from tickover.science.faults import NOT_LISTED
from tickover.workshop.fault_finding import actions, cases, queries, reasoning
from tickover.workshop.fault_finding.actions import FaultFindingError, NewSession
from tickover.workshop.fault_finding.models import Cure, Session
from tickover.workshop.fault_finding.recording import ending_actions
from tickover.workshop.kernel.models import Entry
from tickover.workshop.visits import actions as visit_actions

pytestmark = pytest.mark.usefixtures("verified")

Begin = Callable[..., Session]


@pytest.fixture
def begin(outer: Any, crew: Any, now: datetime) -> Begin:
    def start(*seen: str, at: datetime = now, **more: Any) -> Session:
        new = NewSession("It hunts at idle", seen=seen or ("idle-races",), **more)
        return actions.start(outer, new, who=crew.technician, at=at)

    return start


@pytest.fixture
def confirm(crew: Any, now: datetime) -> Callable[..., Any]:
    def end(session: Session, cause: str = "intake-leak", *, seen: bool = True) -> Any:
        return ending_actions.confirm(session, cause, seen_at_the_part=seen, who=crew.technician, at=now)

    return end


@pytest.fixture
def put_right(confirm: Any, hands: Any) -> Callable[..., Any]:
    """End with the intake leak, do its job and release the engine."""

    def do(session: Session) -> Any:
        job = confirm(session).job
        hands.do_all(job)
        hands.release(job)
        return job

    return do


@pytest.fixture
def say(crew: Any, now: datetime) -> Callable[..., Cure]:
    def cured(session: Session, *, yes: bool, words: str = "", at: datetime = now) -> Cure:
        return ending_actions.say_whether_cured(session, words, cured=yes, who=crew.inspector, at=at)

    return cured


@pytest.fixture
def page(signed_in: Callable[..., Client], crew: Any) -> Callable[[str], str]:
    client = signed_in(crew.technician)
    return lambda address: client.get(address).content.decode()


class TestTheCure:
    def test_it_is_asked_when_the_job_is_done_and_not_before(
        self, begin: Begin, confirm: Any, hands: Any, page: Any
    ) -> None:
        session = begin()
        job = confirm(session).job
        here = f"/fault-finding/{session.number}/"
        assert "Is it fixed?" not in page(here) and "Open, 0 of" in page(here)
        hands.do_all(job)
        hands.release(job)
        assert "Is it fixed?" in page(here) and "Released on" in page(here)

    def test_a_cause_without_a_card_is_asked_for_at_once(
        self, sheet_with: Any, begin: Begin, confirm: Any
    ) -> None:
        sheet_with("faults.causes", "tank-leaks", task=None)
        session = begin()
        confirm(session, "tank-leaks")
        assert queries.session_sheet(session).asks_whether_cured

    def test_the_list_names_those_of_which_nobody_said_what_came_of_it(
        self, begin: Begin, confirm: Any, put_right: Any, say: Any, page: Any
    ) -> None:
        done, waiting, found_nothing = begin(), begin(), begin()
        put_right(done)
        confirm(waiting, "reed-damaged")
        assert queries.awaiting_word_of_cure() == [done] and found_nothing.pk
        assert "1 to confirm as fixed." in page("/fault-finding/")
        say(done, yes=True)
        assert queries.awaiting_word_of_cure() == []

    def test_it_is_refused_while_the_job_is_open(self, begin: Begin, confirm: Any, say: Any) -> None:
        session = begin()
        confirm(session)
        with pytest.raises(FaultFindingError, match="still open: finish it first"):
            say(session, yes=True)

    def test_cured_is_written_once_with_who_and_when_and_how_far_the_engine_ran(
        self, begin: Begin, put_right: Any, say: Any, crew: Any, page: Any
    ) -> None:
        session = begin()
        put_right(session)
        entries = Entry.objects.count()
        row = say(session, yes=True, words="Steady for an hour")
        sheet = queries.session_sheet(session)
        assert Entry.objects.count() == entries + 1 and not sheet.open and not sheet.asks_whether_cured
        assert (row.cured, row.by, row.words) == (True, crew.inspector, "Steady for an hour")
        assert "Fixed</strong>" in page(f"/fault-finding/{session.number}/")
        assert "Ended: cause found, fixed." in page("/fault-finding/")
        with pytest.raises(FaultFindingError, match="said already"):
            say(session, yes=False)

    def test_a_fault_that_stayed_rules_the_cause_out_and_the_session_goes_on(
        self, begin: Begin, put_right: Any, say: Any
    ) -> None:
        session = begin("idle-races", "idle-slow-to-fall", "mist-round-joints")
        before = reasoning.diagnose(queries.session_sheet(session)).suspects[0].suspect.name
        put_right(session)
        say(session, yes=False)
        sheet = queries.session_sheet(session)
        assert (
            sheet.open and sheet.evidence.ruled_out == {"intake-leak"} and session in queries.open_sessions()
        )
        suspects = [line.suspect.name for line in reasoning.diagnose(sheet).suspects]
        assert before == "intake-leak" and "intake-leak" not in suspects

    def test_what_was_not_found_has_no_cure(self, begin: Begin, say: Any, crew: Any, now: datetime) -> None:
        session = begin()
        with pytest.raises(FaultFindingError, match="did not end with a cause"):
            say(session, yes=True)
        ending_actions.end_with(session, "not found", "", who=crew.technician, at=now)
        with pytest.raises(FaultFindingError, match="did not end with a cause"):
            say(session, yes=True)

    def test_a_job_closed_without_a_release_asks_too(
        self, begin: Begin, confirm: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        job = confirm(session).job
        visit_actions.close_without_release(job, "No gasket in stock", who=crew.technician, at=now)
        sheet = queries.session_sheet(session)
        assert sheet.asks_whether_cured
        assert "closed without a release" in queries.job_state(sheet.outcome.job)  # type: ignore[union-attr]


class TestComebacks:
    def test_the_job_of_a_cure_and_its_session_name_each_other(
        self, begin: Begin, put_right: Any, page: Any
    ) -> None:
        session = begin()
        job = put_right(session)
        assert f"/fault-finding/{session.number}/" in page(f"/visits/{job.number}/")
        assert f"/visits/{job.number}/" in page(f"/fault-finding/{session.number}/")

    @pytest.mark.parametrize("after", ["job", "session"])
    def test_a_comeback_is_told_on_the_job_that_it_came_back_after(
        self, begin: Begin, put_right: Any, page: Any, now: datetime, after: str
    ) -> None:
        first = begin()
        job = put_right(first)
        more = {"follows_job": job} if after == "job" else {"follows": first}
        back = begin(at=now + timedelta(days=4), **more)
        told = " ".join(page(f"/visits/{job.number}/").split())
        assert f'Came back as <a href="/fault-finding/{back.number}/">' in told
        assert f"/visits/{job.number}/" in page(f"/fault-finding/{back.number}/")
        around = queries.around_job(job)
        assert (around.cures, around.back, around.near) == ((first,), (back,), ())

    def test_trouble_soon_after_a_job_is_told_there_and_not_called_a_comeback(
        self, hands: Any, outer: Any, begin: Begin, page: Any, now: datetime
    ) -> None:
        job = hands.open(outer, "flange-check")
        hands.do_all(job)
        hands.release(job)
        later = begin(at=now + timedelta(days=4))
        told = page(f"/visits/{job.number}/")
        assert f"/fault-finding/{later.number}/" in told and "Not reported as the same fault" in told
        assert f"/visits/{job.number}/" in page(f"/fault-finding/{later.number}/")

    def test_trouble_long_after_is_not(self, hands: Any, outer: Any, begin: Begin, now: datetime) -> None:
        job = hands.open(outer, "flange-check")
        hands.do_all(job)
        hands.release(job)
        begin(at=now + timedelta(days=300))
        assert queries.around_job(job) == queries.AroundJob((), (), ())


class TestWhatItWas:
    def test_a_cured_cause_is_counted_and_one_not_answered_waits(
        self, begin: Begin, confirm: Any, put_right: Any, say: Any
    ) -> None:
        first, second = begin(), begin()
        put_right(first)
        say(first, yes=True)
        confirm(second, "tank-leaks")
        (found,) = cases.types()
        lines = {line.id: line for line in found.named}
        assert (lines["intake-leak"].cured, lines["intake-leak"].awaited) == (1, 0)
        assert (lines["tank-leaks"].cured, lines["tank-leaks"].awaited) == (0, 1)
        assert found.cases == 1

    def test_the_share_is_that_of_the_table_worth_fifty_cases_and_of_the_cases(
        self, begin: Begin, put_right: Any, say: Any
    ) -> None:
        session = begin()
        put_right(session)
        say(session, yes=True)
        (found,) = cases.types()
        line = next(line for line in found.lines if line.id == "intake-leak")
        assert line.share.share == pytest.approx((50 * line.share.listed + 1) / 51)
        assert sum(line.share.listed for line in found.lines) == pytest.approx(1.0)

    def test_a_fault_that_stayed_counts_for_nothing_and_is_told(
        self, sheet_with: Any, begin: Begin, put_right: Any, say: Any, crew: Any, now: datetime
    ) -> None:
        sheet_with("faults.causes", "tank-leaks", task=None)
        session = begin()
        put_right(session)
        say(session, yes=False)
        ending_actions.confirm(session, "tank-leaks", seen_at_the_part=True, who=crew.technician, at=now)
        say(session, yes=True)
        (found,) = cases.types()
        lines = {line.id: (line.cured, line.stayed) for line in found.named}
        assert lines == {"tank-leaks": (1, 0), "intake-leak": (0, 1)}

    def test_something_else_is_counted_as_what_the_list_does_not_have(
        self, begin: Begin, crew: Any, now: datetime
    ) -> None:
        ending_actions.end_with(begin(), "something else", "Wasp nest", who=crew.technician, at=now)
        ending_actions.end_with(begin(), "not found", "", who=crew.technician, at=now)
        (found,) = cases.types()
        assert [(line.id, line.cured) for line in found.named] == [(NOT_LISTED, 1)] and found.not_found == 1

    def test_an_end_that_was_a_mistake_counts_no_more(
        self, begin: Begin, confirm: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        confirm(session, "tank-leaks")
        ending_actions.take_up(session, "Wrong button", who=crew.technician, at=now)
        assert cases.types() == []

    def test_a_cure_that_did_not_last_counts_no_more(
        self, begin: Begin, put_right: Any, say: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        put_right(session)
        say(session, yes=True)
        ending_actions.take_up(session, "It hunts again", who=crew.technician, at=now)
        assert cases.types() == []

    def test_the_page_says_the_table_the_cases_and_changes_nothing(
        self, begin: Begin, put_right: Any, say: Any, page: Any
    ) -> None:
        session = begin()
        assert "None yet." in page("/fault-finding/what-it-was/")
        put_right(session)
        say(session, yes=True)
        entries = Entry.objects.count()
        told = page("/fault-finding/what-it-was/")
        assert "1 case confirmed" in told and "Table " in told and "Bayesian Data Analysis" in told
        assert Entry.objects.count() == entries
