"""Trouble and the workshop's records: run-ups as answers, and what work done or overdue makes likelier."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.utils import timezone

from tickover.demo.runups import Behaviour, logger_csv
from tickover.science.faults.posterior import posterior
from tickover.science.run_up.signs import SIGNS
from tickover.workshop.fault_finding import actions, queries, reasoning
from tickover.workshop.fault_finding.actions import FaultFindingError, NewSession
from tickover.workshop.fault_finding.evidence import from_run_ups, prior_adjustments, records
from tickover.workshop.fault_finding.evidence.trends import reading_trend
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.fault_finding.recording import record_actions
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.run_ups.uploads import evidence

pytestmark = pytest.mark.usefixtures("verified")

WEAK = Behaviour(full_rpm=7000.0)
Begin = Callable[..., Session]


@pytest.fixture
def begin(outer: Any, crew: Any, now: datetime) -> Begin:
    def start(*seen: str, at: datetime = now, **more: Any) -> Session:
        return actions.start(
            outer, NewSession("It pulls no more", seen=seen, **more), who=crew.technician, at=at
        )

    return start


@pytest.fixture
def run_up(outer: Any, crew: Any, now: datetime) -> Callable[..., RunUp]:
    def add(behaviour: Behaviour = WEAK, *, at: datetime = now, seed: int = 1) -> RunUp:
        data = logger_csv(np.random.default_rng(seed), behaviour)
        circumstances = run_up_actions.Circumstances(at.date(), air_c=15.0, pressure_hpa=1013.0)
        return run_up_actions.add_run(
            outer, run_up_actions.Upload(data, "log.csv", {}), circumstances, who=crew.technician, at=at
        )

    return add


def sheet_of(session: Session) -> SessionSheet:
    return queries.session_sheet(session)


class TestRunUps:
    def test_every_row_of_the_table_names_a_sign_and_a_finding_of_a_shipped_sheet(self) -> None:
        from tickover.sheets import shipped_sheets

        findings = {f.id for s in shipped_sheets().values() if s.faults for f in s.faults.findings}
        assert from_run_ups.TOLD_BY.keys() <= {sign.id for sign in SIGNS}
        assert set(from_run_ups.TOLD_BY.values()) <= findings

    def test_a_run_up_from_before_the_trouble_is_offered_and_not_counted(
        self, begin: Begin, run_up: Any, now: datetime
    ) -> None:
        run = run_up(at=now - timedelta(days=2))
        sheet = sheet_of(begin())
        assert sheet.known == ()
        low = next(o for o in records.offers(sheet, now) if o.item == "static-rpm-low")
        assert (low.state, low.rests_on) == ("seen", f"run-up/{run.entry_sequence}")
        assert "7" in low.words and "run-up of" in low.words

    def test_what_a_run_up_was_measured_for_and_does_not_show_is_offered_as_not_there(
        self, begin: Begin, run_up: Any, now: datetime
    ) -> None:
        run_up(at=now - timedelta(days=2))
        offers = {o.item: o.state for o in records.offers(sheet_of(begin()), now)}
        assert offers["static-rpm-high"] == "not there" and offers["cht-high"] == "not there"
        assert "dies-on-opening" not in offers or offers["dies-on-opening"] == "not there"
        assert "four-strokes-full" not in offers, "no recording, so nobody listened"

    def test_a_run_up_within_the_trouble_counts_before_the_next_answer(
        self, begin: Begin, run_up: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        run = run_up(at=now + timedelta(hours=1))
        actions.answer(session, {"louder": "not there"}, who=crew.technician, at=now + timedelta(hours=2))
        sheet = sheet_of(session)
        assert "static-rpm-low" in sheet.evidence.seen and "static-rpm-high" in sheet.evidence.absent
        assert sheet.last is not None and sheet.last.item == "louder", "undo takes back what the person did"
        taken = sheet.counting["look", "static-rpm-low"]
        assert taken.rests_on == f"run-up/{run.entry_sequence}"

    def test_nobody_waits_while_a_run_up_is_read(
        self, begin: Begin, run_up: Any, crew: Any, now: datetime, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        run_up(at=now - timedelta(days=2))
        outside, read, held = len(connection.savepoint_ids), evidence._read, list[int]()

        def reading(*asked: Any) -> Any:
            held.append(len(connection.savepoint_ids))
            return read(*asked)

        monkeypatch.setattr(evidence, "_read", reading)
        evidence.read_run.cache.clear()
        session = begin()
        evidence.read_run.cache.clear()
        actions.answer(session, {"louder": "not there"}, who=crew.technician, at=now)
        assert held == [outside, outside]

    def test_it_counts_at_once_where_the_engine_is_in_trouble(
        self, begin: Begin, run_up: Any, outer: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        run_up(at=now + timedelta(hours=1))
        record_actions.count_new_records(outer, who=crew.technician, at=now + timedelta(hours=1))
        assert "static-rpm-low" in sheet_of(session).evidence.seen

    def test_a_later_look_counts_and_the_run_up_is_not_offered_against_it(
        self, begin: Begin, run_up: Any, now: datetime
    ) -> None:
        run_up(at=now - timedelta(days=2))
        session = begin("static-rpm-high")
        assert "static-rpm-high" not in {o.item for o in records.offers(sheet_of(session), now)}

    def test_one_button_counts_all_of_it_and_each_can_be_refused(
        self, begin: Begin, run_up: Any, crew: Any, now: datetime
    ) -> None:
        run = run_up(at=now - timedelta(days=2))
        session = begin()
        items = [o.item for o in records.offers(sheet_of(session), now)]
        rests_on = f"run-up/{run.entry_sequence}"
        record_actions.use_record(session, rests_on, items[:1], counts=False, who=crew.technician, at=now)
        record_actions.use_record(session, rests_on, items[1:], counts=True, who=crew.technician, at=now)
        sheet = sheet_of(session)
        assert len(sheet.known) == len(items) - 1 and records.offers(sheet, now) == []
        with pytest.raises(FaultFindingError, match="answered for already"):
            record_actions.use_record(session, rests_on, items[:1], counts=True, who=crew.technician, at=now)

    def test_a_run_up_of_more_than_a_year_ago_says_nothing(
        self, begin: Begin, run_up: Any, now: datetime
    ) -> None:
        run_up()
        later = now + timedelta(days=400)
        assert records.offers(sheet_of(begin(at=later)), later) == []

    def test_a_run_up_whose_file_is_gone_does_not_stop_the_session(
        self, begin: Begin, run_up: Any, now: datetime, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        run_up(at=now - timedelta(days=2))
        session = begin()

        def gone(run: RunUp) -> Any:
            raise OSError("gone")

        monkeypatch.setattr(from_run_ups.run_ups, "opened", gone)
        assert records.offers(sheet_of(session), now) == []

    def test_the_page_links_to_the_run_up(
        self, begin: Begin, run_up: Any, crew: Any, signed_in: Callable[..., Client]
    ) -> None:
        today = timezone.now()
        run, session = run_up(at=today - timedelta(days=1)), begin(at=today)
        page = signed_in(crew.technician).get(f"/fault-finding/{session.number}/").content.decode()
        assert f"/engines/1200/runs/{run.entry_sequence}/" in page and "Use all" in " ".join(page.split())

    def test_warmer_than_usual_and_inside_the_limit_is_no_danger(
        self, begin: Begin, run_up: Any, outer: Any, crew: Any, now: datetime
    ) -> None:
        """A danger stops everything: it takes a verdict against the limit of the type."""
        for n in range(5):
            usual = run_up(Behaviour(), at=now - timedelta(days=40 - n), seed=n)
            run_up_actions.accept(usual, accepted=True, why="", who=crew.technician, at=now)
        run_up(Behaviour(cht_c=(128.0, 199.0)), at=now - timedelta(days=2), seed=9)
        offers = {o.item: o.state for o in records.offers(sheet_of(begin()), now)}
        assert "cht-high" not in offers

    def test_over_the_limit_is_a_danger_and_stops(
        self, begin: Begin, run_up: Any, crew: Any, now: datetime
    ) -> None:
        session = begin()
        run_up(Behaviour(cht_c=(150.0, 290.0)), at=now + timedelta(hours=1))
        actions.answer(session, {"louder": "not there"}, who=crew.technician, at=now + timedelta(hours=2))
        assert "cht-high" in [name for name, _ in reasoning.diagnose(sheet_of(session)).stops]

    def test_work_after_it_is_told_beside_it(
        self, begin: Begin, run_up: Any, hands: Any, outer: Any, now: datetime
    ) -> None:
        run_up(at=now - timedelta(days=2))
        job = hands.open(outer, "flange-check")
        hands.do_all(job)
        hands.release(job)
        assert f"before visit {job.number}" in records.offers(sheet_of(begin()), now)[0].words

    def test_handing_one_in_counts_it_in_the_trouble_that_is_open(
        self, outer: Any, crew: Any, signed_in: Callable[..., Client]
    ) -> None:
        today = timezone.now()
        session = actions.start(outer, NewSession("Weak"), who=crew.technician, at=today)
        data = logger_csv(np.random.default_rng(3), WEAK)
        sent = {"on_day": timezone.localdate().isoformat(), "run_file": SimpleUploadedFile("log.csv", data)}
        page = signed_in(crew.technician).post("/engines/1200/runs/new/", sent, follow=True).content.decode()
        assert f"were used in fault {session.number}" in page
        assert "static-rpm-low" in sheet_of(session).evidence.seen


class TestReadingsOnTheirWay:
    """Three jobs with the compression going down by 0.1 bar in 10 h reach the limit where a line by hand does."""

    @pytest.fixture
    def limit(self, sheet: Any) -> Any:
        from tickover.workshop.register import queries as register

        return next(row for row in register.sheet_of(sheet).limits if row.id == "compression")

    def rows(self, limit: Any, *, last: float) -> list[Any]:
        """Newest first; the newest `last` bar above the lower limit."""
        values = [limit.lower + last + 0.1 * n for n in range(4)]
        hours_h = [40.0, 30.0, 20.0, 10.0]
        return [
            SimpleNamespace(job_id=n, job=SimpleNamespace(engine_h=h), value=value)
            for n, (h, value) in enumerate(zip(hours_h, values, strict=True))
        ]

    def test_the_line_reaches_the_limit_where_it_does_by_hand(self, limit: Any) -> None:
        found = reading_trend(self.rows(limit, last=0.3), limit, now_h=45.0)
        assert found is not None and found.side == "below"
        assert found.reach.at_h == pytest.approx(40.0 + 0.3 / 0.1 * 10.0)

    def test_what_is_reached_only_long_after_says_nothing(self, limit: Any) -> None:
        assert reading_trend(self.rows(limit, last=2.0), limit, now_h=45.0) is None

    def test_nor_do_two_readings_or_readings_that_stay(self, limit: Any) -> None:
        rows = self.rows(limit, last=0.3)
        assert reading_trend(rows[:2], limit, now_h=45.0) is None
        for row in rows:
            row.value = limit.lower + 0.3
        assert reading_trend(rows, limit, now_h=45.0) is None


class TestGrounds:
    """The factors are a rule of thumb; what they do to the chances is checked by hand."""

    @pytest.fixture
    def flange_done(self, outer: Any, hands: Any) -> Any:
        job = hands.open(outer, "flange-check")
        hands.do_all(job)
        hands.release(job)
        return job

    def test_the_last_work_makes_what_it_touches_likelier(
        self, flange_done: Any, begin: Begin, now: datetime
    ) -> None:
        session = begin(at=now + timedelta(days=3))
        (row,) = [w for w in sheet_of(session).weightings if w.ground.startswith("last-work/")]
        assert row.ground == f"last-work/{flange_done.number}" and row.factor == prior_adjustments.JUST_DONE
        assert "intake-leak" in row.causes and "plug-faulty" not in row.causes

    def test_work_of_long_ago_does_not(self, flange_done: Any, begin: Begin, now: datetime) -> None:
        rows = sheet_of(begin(at=now + timedelta(days=91))).weightings
        assert not [w for w in rows if w.ground.startswith("last-work/")]

    def test_nor_work_of_many_hours_ago(
        self, flange_done: Any, begin: Begin, hours: Any, outer: Any, now: datetime
    ) -> None:
        hours(outer, 26.0, date(2025, 5, 2))
        rows = sheet_of(begin(at=now + timedelta(days=3))).weightings
        assert not [w for w in rows if w.ground.startswith("last-work/")]

    def test_a_comeback_counts_for_more_and_however_long_ago(
        self, flange_done: Any, begin: Begin, now: datetime
    ) -> None:
        session = begin(at=now + timedelta(days=200), follows_job=flange_done)
        (row,) = [w for w in sheet_of(session).weightings if w.ground.startswith("last-work/")]
        assert row.factor == prior_adjustments.CAME_BACK and "come back" in row.words

    def test_overdue_work_makes_the_cause_that_it_keeps_away_likelier(
        self, begin: Begin, now: datetime
    ) -> None:
        sheet = sheet_of(begin(at=now + timedelta(days=800)))
        (row,) = [w for w in sheet.weightings if w.ground == "overdue/diaphragm-service"]
        assert "metering-diaphragm-hard" in row.causes and row.factor == prior_adjustments.OVERDUE
        assert dict(sheet.factors)["metering-diaphragm-hard"] >= prior_adjustments.OVERDUE

    def test_the_odds_of_a_cause_are_multiplied_and_those_of_others_stay(
        self, flange_done: Any, begin: Begin, crew: Any, now: datetime
    ) -> None:
        """By hand: where one cause is there, its odds against another one change by the factor itself."""
        session = begin(at=now + timedelta(days=3))
        sheet = sheet_of(session)
        ratio = _odds_against(sheet, "intake-leak", "plug-faulty")
        for row in sheet.weightings:
            record_actions.weigh_again(session, row.ground, 1.0, who=crew.technician, at=now)
        plain = _odds_against(sheet_of(session), "intake-leak", "plug-faulty")
        factors = dict(sheet.factors)
        expected = factors.get("intake-leak", 1.0) / factors.get("plug-faulty", 1.0)
        assert ratio / plain == pytest.approx(expected, rel=1e-9) and expected != 1
        assert sheet_of(session).factors == ()

    def test_how_much_it_counts_is_altered_with_a_reason_and_only_as_offered(
        self, flange_done: Any, begin: Begin, crew: Any, now: datetime
    ) -> None:
        session = begin(at=now + timedelta(days=3))
        ground = f"last-work/{flange_done.number}"
        again = record_actions.weigh_again(
            session, ground, 5.0, "The nut was found loose", who=crew.inspector, at=now
        )
        assert again.causes and [w.factor for w in sheet_of(session).weightings if w.ground == ground] == [
            5.0
        ]
        with pytest.raises(FaultFindingError, match="already"):
            record_actions.weigh_again(session, ground, 5.0, who=crew.technician, at=now)
        with pytest.raises(FaultFindingError, match="not 40"):
            record_actions.weigh_again(session, ground, 40.0, who=crew.technician, at=now)
        with pytest.raises(LookupError):
            record_actions.weigh_again(session, "moon", 2.0, who=crew.technician, at=now)

    def test_the_factor_stands_in_the_working_of_a_chance(
        self, flange_done: Any, begin: Begin, now: datetime, crew: Any, signed_in: Callable[..., Client]
    ) -> None:
        session = begin(at=now + timedelta(days=3))
        page = (
            signed_in(crew.technician)
            .get(f"/fault-finding/{session.number}/suspects/intake-leak/")
            .content.decode()
        )
        assert "multiplied" in page


def _odds_against(sheet: SessionSheet, one: str, other: str) -> float:
    now = reasoning.diagnose(sheet).now
    assert now is not None
    alone = {name: float(now.weights[(now.network.sets[0] == now.network.cause(name))
                                     & (now.network.sets[1] == len(now.network.causes))][0])
             for name in (one, other)}  # fmt: skip
    assert posterior(now.network, now.evidence).share(one) == pytest.approx(now.share(one))
    return alone[one] / alone[other]
