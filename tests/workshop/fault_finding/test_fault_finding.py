"""A fault-finding session: from the owner's words to a cause, something else, or nothing found."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tickover.workshop.fault_finding import actions, queries, reasoning, wording
from tickover.workshop.fault_finding.actions import FaultFindingError, NewSession
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.recording import ending_actions, photo_actions
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.kernel.models import Entry

pytestmark = pytest.mark.usefixtures("verified")

COMPLAINT = "Idle surges,  revs by itself.\nAnd it is a “pig” to start!"
Begin = Callable[..., Session]


@pytest.fixture
def begin(outer: Any, crew: Any, now: Any) -> Begin:
    def start(*seen: str, engine: Any = outer, complaint: str = COMPLAINT, **more: Any) -> Session:
        new = NewSession(complaint, seen=seen, **more)
        return actions.start(engine, new, who=crew.technician, at=now)

    return start


@pytest.fixture
def look(crew: Any, now: Any) -> Callable[..., None]:
    def answer(session: Session, item: str, state: str = "seen") -> None:
        actions.answer(session, {item: state}, who=crew.technician, at=now)

    return answer


def _sheet(session: Session) -> SessionSheet:
    return queries.session_sheet(session)


def _leader(session: Session) -> str:
    return reasoning.diagnose(_sheet(session)).suspects[0].suspect.name


def test_the_complaint_is_kept_word_for_word(begin: Begin) -> None:
    assert Session.objects.get(pk=begin().pk).complaint == COMPLAINT


@pytest.mark.parametrize("complaint", ["", "  \n", "x" * 4001])
def test_a_session_without_a_complaint_is_not_started(begin: Begin, complaint: str) -> None:
    with pytest.raises(FaultFindingError, match=r"Nothing was started|longer"):
        begin(complaint=complaint)
    assert not Session.objects.exists()


def test_with_nothing_looked_at_the_order_is_that_of_the_weights(begin: Begin) -> None:
    sheet = _sheet(begin())
    weights = {
        cause.id: cause.weight * dict(sheet.factors).get(cause.id, 1.0) for cause in sheet.faults.causes
    }
    single = [s for s in reasoning.diagnose(sheet).suspects if len(s.causes) == 1]
    shown = [weights[s.causes[0].id] for s in single]
    assert shown == sorted(shown, reverse=True)


def test_bubbles_in_the_line_point_to_the_fuel_line(begin: Begin, look: Any) -> None:
    session = begin("dies-on-opening")
    look(session, "bubbles-in-line")
    assert _leader(session) == "fuel-line-draws-air"
    line = reasoning.diagnose(_sheet(session)).suspects[0]
    assert "as likely as before" in line.effects[0].in_words(_sheet(session).titles)
    assert line.effects[0].finding == "bubbles-in-line"


def test_the_effects_are_those_that_the_science_explains(begin: Begin) -> None:
    from tickover.science.faults.explain import effects

    reasoned = reasoning.diagnose(_sheet(begin("idle-races", "idle-slow-to-fall")))
    assert reasoned.now is not None
    for line in reasoned.suspects[: reasoning.EXPLAINED]:
        assert line.effects == effects(reasoned.now, line.suspect.name)


def test_undo_takes_back_the_last_answer_and_erases_nothing(
    begin: Begin, look: Any, crew: Any, now: Any
) -> None:
    session = begin("idle-races")
    before = _sheet(session).evidence
    look(session, "bubbles-in-line", "not there")
    last = _sheet(session).last
    assert last is not None and last.item == "bubbles-in-line"
    rows, entries = Answer.objects.count(), Entry.objects.count()
    actions.take_back(session, last.pk, who=crew.inspector, at=now)
    assert _sheet(session).evidence == before
    assert (Answer.objects.count(), Entry.objects.count()) == (rows + 1, entries + 1)
    with pytest.raises(FaultFindingError, match="taken back already"):
        actions.take_back(session, last.pk, who=crew.inspector, at=now)


def test_undo_brings_back_the_answer_before(begin: Begin, look: Any, crew: Any, now: Any) -> None:
    session = begin("idle-races")
    look(session, "idle-races", "not there")
    assert _sheet(session).evidence.absent == {"idle-races"}
    actions.take_back(session, _sheet(session).live[-1].pk, who=crew.technician, at=now)
    assert _sheet(session).evidence.seen == {"idle-races"}


def test_a_danger_that_was_seen_stops_and_no_running_look_is_proposed(begin: Begin) -> None:
    sheet = _sheet(begin("fuel-smell", "idle-races"))
    reasoned = reasoning.diagnose(sheet)
    assert [name for name, _ in reasoned.stops] == ["fuel-smell"]
    running = {test.id for test in sheet.faults.tests if test.running}
    assert reasoned.looks and not running & set(reasoned.looks)


def test_a_likely_danger_is_looked_for_first(begin: Begin) -> None:
    reasoned = reasoning.diagnose(_sheet(begin("buzzes-at-engine-rate", "louder", "sags-at-full")))
    lines = [reasoning.check_line(reasoned, item) for item in reasoned.looks]
    pressing = [line.pressing for line in lines if line]
    assert pressing == sorted(pressing, reverse=True)


def test_before_a_look_with_the_engine_running_the_dangers_are_named(begin: Begin, look: Any) -> None:
    session = begin("idle-races")
    look(session, "fuel-smell", "not looked")
    line = reasoning.check_line(reasoning.diagnose(_sheet(session)), "mist-round-joints")
    assert line is not None and {"fuel-smell", "propeller-cracked"} <= {f.id for f in line.before}
    for finding in line.before:
        look(session, finding.id, "not there")
    line = reasoning.check_line(reasoning.diagnose(_sheet(session)), "mist-round-joints")
    assert line is not None and line.before == ()


def test_a_test_that_takes_evidence_away_wants_a_photograph_first(
    begin: Begin, look: Any, crew: Any, now: Any
) -> None:
    session = begin("idle-races")
    with pytest.raises(FaultFindingError, match="Photograph it as found first"):
        look(session, "lever-height-test")
    look(session, "lever-height-test", "cannot be done here")
    photo_actions.without_photograph(
        session, "lever-height-test", "Broken camera", who=crew.technician, at=now
    )
    look(session, "lever-height-test")
    assert "lever-height-test" in _sheet(session).evidence.seen


def test_what_is_open_costs_no_minutes_again(begin: Begin, crew: Any, now: Any) -> None:
    session = begin("idle-races")
    closed = reasoning.check_line(reasoning.diagnose(_sheet(session)), "reeds-look")
    actions.note_open(session, ["carburettor-off"], who=crew.technician, at=now)
    assert _sheet(session).bench.open_now == {"carburettor-off", "air-box-off"}, "with what it needs before"
    opened = reasoning.check_line(reasoning.diagnose(_sheet(session)), "reeds-look")
    assert closed is not None and opened is not None
    assert [group.id for group in opened.opens] == ["reed-block-out"]
    assert closed.minutes - opened.minutes == 24
    actions.note_open(session, [], who=crew.technician, at=now)
    assert _sheet(session).bench.open_now == frozenset()


@pytest.mark.parametrize("state", ["not looked", "cannot be done here"])
def test_what_is_skipped_counts_for_nothing_and_stays_in_sight(begin: Begin, look: Any, state: str) -> None:
    session = begin("idle-races")
    first = reasoning.diagnose(_sheet(session)).looks[0]
    evidence = _sheet(session).evidence
    look(session, first, state)
    sheet = _sheet(session)
    assert sheet.evidence == evidence and first not in reasoning.diagnose(sheet).looks
    assert [answer.item for answer in sheet.later] == [first]


def test_findings_that_hardly_go_together_are_told_as_a_pair(begin: Begin, look: Any) -> None:
    session = begin("idle-races", "louder")
    for item in ("mounts-and-welds", "buzzes-at-engine-rate"):
        look(session, item, "not there")
    sheet = _sheet(session)
    reasoned = reasoning.diagnose(sheet)
    words = wording.contradiction(sheet, reasoned)
    assert "hardly go together" in words and "check one of them again" in words
    assert reasoned.clash is not None and all(sheet.titles[name] in words for name in reasoned.clash.pair)


def test_with_everything_ruled_out_the_page_says_what_excludes_what(
    begin: Begin, crew: Any, now: Any
) -> None:
    session = begin("idle-races")
    for cause in _sheet(session).faults.causes:
        actions.rule_out(session, cause.id, who=crew.technician, at=now)
    reasoned = reasoning.diagnose(_sheet(session))
    assert [line.suspect.name for line in reasoned.suspects] == ["not-on-this-list"]


def test_each_build_has_its_own_causes(begin: Begin, inner: Any) -> None:
    outside, inside = _sheet(begin()), _sheet(begin(engine=inner))
    assert "pulse-hose-soft" in outside.titles and "pulse-passage-closed" not in outside.titles
    assert "pulse-passage-closed" in inside.titles and "pulse-hose-soft" not in inside.titles
    with pytest.raises(LookupError):
        inside.cause("pulse-hose-soft")


def test_an_unknown_look_or_answer_is_refused(begin: Begin, look: Any) -> None:
    session = begin()
    with pytest.raises(LookupError):
        look(session, "moon-phase")
    with pytest.raises(FaultFindingError, match="not an answer to a check"):
        look(session, "idle-races", "perhaps")
    assert not Answer.objects.exists()


def test_a_confirmed_cause_opens_the_job_of_its_cure(begin: Begin, crew: Any, now: Any) -> None:
    session = begin("idle-races")
    end = ending_actions.confirm(session, "intake-leak", seen_at_the_part=True, who=crew.technician, at=now)
    assert end.job is not None and end.job.task_id == "flange-check" and end.job.engine == session.engine
    assert end.share is not None and 0 < end.share < 1
    assert not _sheet(session).open
    with pytest.raises(FaultFindingError, match="ended already"):
        actions.answer(session, {"louder": "seen"}, who=crew.technician, at=now)


def test_a_job_that_is_open_for_the_cure_is_gone_on_with(
    begin: Begin, hands: Any, outer: Any, crew: Any, now: Any
) -> None:
    running = hands.open(outer, "flange-check")
    end = ending_actions.confirm(begin(), "intake-leak", seen_at_the_part=False, who=crew.technician, at=now)
    assert end.job == running and not end.seen_at_the_part


def test_a_cure_without_a_task_ends_without_a_job(sheet_with: Any, begin: Begin, crew: Any, now: Any) -> None:
    sheet_with("faults.causes", "tank-leaks", task=None)
    session = begin()
    assert _sheet(session).cause("tank-leaks").task is None
    end = ending_actions.confirm(session, "tank-leaks", seen_at_the_part=True, who=crew.technician, at=now)
    assert end.job is None


def test_something_else_is_said_in_words(begin: Begin, crew: Any, now: Any) -> None:
    session = begin()
    with pytest.raises(FaultFindingError, match="Type what it was"):
        ending_actions.end_with(session, "something else", " ", who=crew.technician, at=now)
    end = ending_actions.end_with(session, "something else", "Wasp nest", who=crew.technician, at=now)
    assert (end.kind, end.words, end.job) == ("something else", "Wasp nest", None)


def test_not_found_lists_what_was_ruled_out(begin: Begin, crew: Any, now: Any) -> None:
    session = begin("idle-races")
    actions.rule_out(session, "intake-leak", who=crew.technician, at=now)
    end = ending_actions.end_with(session, "not found", "", who=crew.technician, at=now)
    assert end.ruled_out == ["Intake flange or gasket leaks, or the insulator is cracked"]


def test_a_session_is_taken_up_again_by_somebody_else(begin: Begin, crew: Any, now: Any) -> None:
    session = begin()
    with pytest.raises(FaultFindingError, match="is open"):
        ending_actions.take_up(session, "why not", who=crew.inspector, at=now)
    ending_actions.end_with(session, "not found", "", who=crew.technician, at=now)
    assert session not in queries.open_sessions()
    with pytest.raises(FaultFindingError, match="why"):
        ending_actions.take_up(session, "", who=crew.inspector, at=now)
    ending_actions.take_up(session, "Still there", who=crew.inspector, at=now)
    assert session in queries.open_sessions()


def test_a_comeback_names_what_it_came_back_after(begin: Begin, hands: Any, crew: Any, now: Any) -> None:
    first = begin("idle-races")
    end = ending_actions.confirm(first, "intake-leak", seen_at_the_part=True, who=crew.technician, at=now)
    hands.do_all(end.job)
    hands.release(end.job)
    by_job = begin("idle-races", follows_job=end.job)
    by_session = begin("idle-races", follows=first)
    assert queries.comebacks_of(first) == [by_job, by_session]


def test_a_comeback_is_of_the_same_engine(begin: Begin, inner: Any) -> None:
    with pytest.raises(FaultFindingError, match="another engine"):
        begin(follows=begin(engine=inner))


def test_a_sheet_without_faults_says_so(begin: Begin, sheet: Any, now: Any) -> None:
    from tickover.workshop.register.actions import keep_sheet

    text = sheet.text[: sheet.text.index("[faults]")].replace("version = ", "version = 9", 1)
    keep_sheet(text, "bare.toml", actor="tickover", at=now)
    with pytest.raises(FaultFindingError, match="no table of faults"):
        begin()
