"""Components keep their own time, wherever they go; an overhaul starts a count of its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from tickover.workshop.components import actions, queries
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time.meter_actions import TypedMeterReading, read_meter
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.models import Component

pytestmark = pytest.mark.usefixtures("verified")

CARBURETTOR = "carburettor"


@pytest.fixture
def done(crew: Any, now: datetime) -> Callable[..., actions.ComponentChange]:
    def done(days_ago: float, remark: str = "") -> actions.ComponentChange:
        return actions.ComponentChange(now - timedelta(days=days_ago), crew.technician, now, remark)

    return done


@pytest.fixture
def carburettor(crew: Any, now: datetime) -> Callable[..., Component]:
    def add(serial: str, initial_h: float = 0.0, sd_h: float = 0.0) -> Component:
        new = actions.NewComponent(CARBURETTOR, "Carburettor", serial, initial_h, sd_h)
        return actions.add_component(new, who=crew.technician, at=now)

    return add


@pytest.fixture
def ran(hours: Callable[..., Any], now: datetime) -> Callable[..., Any]:
    def ran(engine: Any, hours_h: float, days_ago: int) -> Any:
        return hours(engine, hours_h, (now - timedelta(days=days_ago)).date())

    return ran


def time_h(component: Component, now: datetime) -> float:
    return round(queries.component_time(component, now).hours_h, 6)


def test_a_component_runs_with_its_engine_from_the_day_it_is_fitted(
    carburettor: Any, outer: Any, ran: Any, done: Any, now: datetime
) -> None:
    ran(outer, 50.0, 30)
    one = carburettor("C-1", 12.0, 1.0)
    fitting = actions.fit(one, outer, done(20))
    ran(outer, 7.0, 10)
    assert fitting.engine_h == 50.0
    assert time_h(one, now) == 19.0
    # Independent: 1.0 h that it came with, 0.1 h of the entry.
    assert queries.component_time(one, now).sd_h == pytest.approx((1.0**2 + 0.1**2) ** 0.5)


def test_it_keeps_its_time_on_the_shelf_and_takes_it_to_another_engine(
    carburettor: Any, outer: Any, inner: Any, ran: Any, done: Any, now: datetime
) -> None:
    one = carburettor("C-1")
    actions.fit(one, outer, done(30))
    ran(outer, 7.0, 25)
    removal = actions.remove(one, done(20))
    ran(outer, 100.0, 15)
    assert (time_h(one, now), removal.engine_h) == (7.0, 7.0)
    actions.fit(one, inner, done(10))
    ran(inner, 3.0, 5)
    assert time_h(one, now) == 10.0
    assert [s.fitting.engine.name for s in queries.component_line(one, now).stays] == ["Outer", "Inner"]


def test_a_correction_of_the_engines_time_reaches_the_component(
    carburettor: Any, outer: Any, ran: Any, done: Any, crew: Any, now: datetime
) -> None:
    one = carburettor("C-1")
    actions.fit(one, outer, done(30))
    slip = ran(outer, 70.0, 25)
    ran(outer, 7.0, 25)
    actions.remove(one, done(20))
    time_actions.withdraw(slip, "typed twice", who=crew.technician, at=now)
    assert time_h(one, now) == 7.0


def test_two_engines_swap_and_swap_back_and_the_times_add_up(
    carburettor: Any, outer: Any, inner: Any, ran: Any, done: Any, now: datetime
) -> None:
    one, two = carburettor("C-1", 10.0), carburettor("C-2", 20.0)
    actions.fit(one, outer, done(40))
    actions.fit(two, inner, done(40))
    for engine, h, days in ((outer, 1.0, 35), (inner, 2.0, 35)):
        ran(engine, h, days)
    actions.swap(outer, inner, CARBURETTOR, done(30))
    for engine, h, days in ((outer, 4.0, 25), (inner, 8.0, 25)):
        ran(engine, h, days)
    actions.swap(outer, inner, CARBURETTOR, done(20))
    for engine, h, days in ((outer, 16.0, 15), (inner, 32.0, 15)):
        ran(engine, h, days)
    # By hand: one ran 1 on Outer, 8 on Inner, 16 on Outer; two 2, 4, 32.
    assert (time_h(one, now), time_h(two, now)) == (10.0 + 25.0, 20.0 + 38.0)


def test_between_two_meter_readings_the_time_is_spread_evenly(
    carburettor: Any, outer: Any, done: Any, crew: Any, now: datetime
) -> None:
    for value_h, days in ((100.0, 10), (110.0, 0)):
        read_meter(outer, TypedMeterReading(value_h, now - timedelta(days=days)), who=crew.technician, at=now)
    one = carburettor("C-1")
    actions.fit(one, outer, done(4))
    assert time_h(one, now) == 4.0


def test_a_log_is_cut_at_the_moment_of_fitting(
    carburettor: Any, outer: Any, crew: Any, igc: Any, now: datetime
) -> None:
    start = now - timedelta(days=1)
    log = time_actions.add_track_log(outer, igc(start, minutes=30), "a.igc", who=crew.technician, at=now)
    one = carburettor("C-1")
    run_start = datetime.fromisoformat(log.runs[0][0])
    actions.fit(one, outer, actions.ComponentChange(run_start + timedelta(minutes=12), crew.technician, now))
    assert time_h(one, now) == pytest.approx(log.duration_h - 0.2)


def test_what_is_on_another_engine_is_not_fitted(carburettor: Any, outer: Any, inner: Any, done: Any) -> None:
    one = carburettor("C-1")
    actions.fit(one, outer, done(5))
    before = Entry.objects.count()
    with pytest.raises(RegisterError, match="Carburettor C-1 is on Outer since"):
        actions.fit(one, inner, done(1))
    assert Entry.objects.count() == before


def test_an_engine_has_one_carburettor_but_two_pistons(
    carburettor: Any, outer: Any, done: Any, crew: Any, now: datetime
) -> None:
    actions.fit(carburettor("C-1"), outer, done(5))
    with pytest.raises(RegisterError, match="Outer has a carburettor already: Carburettor C-1"):
        actions.fit(carburettor("C-2"), outer, done(1))
    for serial in ("P-1", "P-2"):
        new = actions.NewComponent("piston", "Piston", serial)
        actions.fit(actions.add_component(new, who=crew.technician, at=now), outer, done(1))
    assert len(queries.components_on(outer, now)) == 3


def test_nothing_happens_before_what_happened_last(carburettor: Any, outer: Any, done: Any) -> None:
    one, two = carburettor("C-1"), carburettor("C-2")
    actions.fit(one, outer, done(5))
    with pytest.raises(RegisterError, match="before the last change"):
        actions.remove(one, done(6))
    actions.remove(one, done(4))
    with pytest.raises(RegisterError, match="before the last change"):
        actions.fit(two, outer, done(4.5))
    with pytest.raises(RegisterError, match="still to come"):
        actions.fit(two, outer, done(-1))
    with pytest.raises(RegisterError, match="is on no engine"):
        actions.remove(two, done(1))


def test_a_swap_wants_one_on_each_of_two_engines(carburettor: Any, outer: Any, inner: Any, done: Any) -> None:
    actions.fit(carburettor("C-1"), outer, done(5))
    before = Entry.objects.count()
    with pytest.raises(RegisterError, match="Inner has no carburettor"):
        actions.swap(outer, inner, CARBURETTOR, done(1))
    with pytest.raises(RegisterError, match="two engines"):
        actions.swap(outer, outer, CARBURETTOR, done(1))
    assert Entry.objects.count() == before


def test_a_fitting_entered_by_mistake_counts_nothing(
    carburettor: Any, outer: Any, inner: Any, ran: Any, done: Any, now: datetime
) -> None:
    one = carburettor("C-1")
    actions.fit(one, outer, done(10))
    ran(outer, 7.0, 5)
    with pytest.raises(RegisterError, match="what was wrong"):
        actions.take_back(one, done(1))
    actions.take_back(one, done(1, "it went on Inner"))
    assert time_h(one, now) == 0.0
    actions.fit(one, inner, done(12))
    assert queries.fitting_of(one).engine == inner


@pytest.mark.parametrize(
    ("new", "says"),
    [
        (actions.NewComponent("wing", "Wing", "W-1"), "no kind of component"),
        (actions.NewComponent(CARBURETTOR, "Carburettor", " "), "a name and a serial"),
        (actions.NewComponent(CARBURETTOR, "", "C-1"), "a name and a serial"),
        (actions.NewComponent(CARBURETTOR, "C", "C-1", -1.0), "cannot be a component's time"),
        (actions.NewComponent(CARBURETTOR, "C", "C-1", float("nan")), "cannot be a component's time"),
    ],
)
def test_a_component_that_cannot_be_is_refused(
    crew: Any, now: datetime, new: actions.NewComponent, says: str
) -> None:
    with pytest.raises(RegisterError, match=says):
        actions.add_component(new, who=crew.technician, at=now)


def test_a_serial_is_there_once_for_a_kind(carburettor: Any) -> None:
    carburettor("C-1")
    with pytest.raises(RegisterError, match="in the register already"):
        carburettor("C-1")


def test_time_since_overhaul_is_derived(outer: Any, ran: Any, crew: Any, now: datetime) -> None:
    ran(outer, 200.0, 30)
    assert queries.time_since_overhaul(outer, now) is None
    overhauled = (now - timedelta(days=20)).date()
    row = actions.record_overhaul(outer, overhauled, "new crankshaft", who=crew.technician, at=now)
    assert row.engine_h == 200.0
    ran(outer, 1.0, 20)
    ran(outer, 5.0, 10)
    since = queries.time_since_overhaul(outer, now)
    assert since.time.hours_h == pytest.approx(5.0)
    assert since.time.sd_h == pytest.approx(0.1)


def test_an_overhaul_is_recorded_in_order_and_can_be_taken_back(
    outer: Any, ran: Any, crew: Any, now: datetime
) -> None:
    def record(days_ago: int) -> Any:
        on_day = (now - timedelta(days=days_ago)).date()
        return actions.record_overhaul(outer, on_day, "", who=crew.technician, at=now)

    first, slip = record(30), record(2)
    with pytest.raises(RegisterError, match="Take that back first"):
        record(10)
    with pytest.raises(RegisterError, match="still to come"):
        record(-2)
    with pytest.raises(RegisterError, match="what was wrong"):
        actions.take_back_overhaul(slip, " ", who=crew.technician, at=now)
    actions.take_back_overhaul(slip, "wrong day", who=crew.technician, at=now)
    with pytest.raises(RegisterError, match="taken back already"):
        actions.take_back_overhaul(slip, "again", who=crew.technician, at=now)
    assert queries.last_overhaul(outer) == first
    assert record(10) == queries.last_overhaul(outer)


class Fleet(RuleBasedStateMachine):
    """Two engines and three carburettors, a day passing with each deed; a shadow keeps the books by hand."""

    def __init__(self, engines: list[Any], who: Any) -> None:
        super().__init__()
        self.engines, self.who = engines, who
        self.undo = transaction.atomic()
        self.undo.__enter__()

    @initialize()
    def three_carburettors(self) -> None:
        self.day = datetime(2025, 6, 1, 12, tzinfo=UTC)
        self.components = [self._add(f"C-{n}") for n in range(3)]
        self.on: dict[int, int] = {}
        self.ran = [0.0, 0.0, 0.0]
        self.while_fitted = [0.0, 0.0]

    def _add(self, serial: str) -> Component:
        new = actions.NewComponent(CARBURETTOR, "Carburettor", serial)
        return actions.add_component(new, who=self.who, at=self.day)

    def _done(self) -> actions.ComponentChange:
        self.day += timedelta(days=1)
        return actions.ComponentChange(self.day, self.who, self.day)

    @rule(engine=st.integers(0, 1), hours_h=st.integers(1, 9))
    def runs(self, engine: int, hours_h: int) -> None:
        self.day += timedelta(days=1)
        typed = time_actions.TypedHours(hours_h, 0.1, self.day.date(), "log entry", "pilot's log")
        time_actions.enter_hours(self.engines[engine], typed, who=self.who, at=self.day)
        if engine in self.on:
            self.ran[self.on[engine]] += hours_h
            self.while_fitted[engine] += hours_h

    @rule(engine=st.integers(0, 1), component=st.integers(0, 2))
    def fit(self, engine: int, component: int) -> None:
        refused = engine in self.on or component in self.on.values()
        try:
            actions.fit(self.components[component], self.engines[engine], self._done())
        except RegisterError:
            assert refused
        else:
            assert not refused
            self.on[engine] = component

    @rule(component=st.integers(0, 2))
    def remove(self, component: int) -> None:
        on = next((engine for engine, c in self.on.items() if c == component), None)
        try:
            actions.remove(self.components[component], self._done())
        except RegisterError:
            assert on is None
        else:
            assert on is not None
            del self.on[on]

    @rule()
    def swap(self) -> None:
        try:
            actions.swap(*self.engines, CARBURETTOR, self._done())
        except RegisterError:
            assert len(self.on) < 2
        else:
            self.on = {0: self.on[1], 1: self.on[0]}

    @invariant()
    def the_times_add_up(self) -> None:
        if not hasattr(self, "components"):
            return
        times = [queries.component_time(c, self.day).hours_h for c in self.components]
        assert times == pytest.approx(self.ran)
        assert sum(times) == pytest.approx(sum(self.while_fitted))

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)


def test_whatever_is_fitted_removed_and_swapped_the_times_add_up(outer: Any, inner: Any, crew: Any) -> None:
    run_state_machine_as_test(
        lambda: Fleet([outer, inner], crew.technician),
        settings=settings(max_examples=15, stateful_step_count=20, deadline=None),
    )


def test_components_and_overhaul_on_the_engines_page(
    signed_in: Any, crew: Any, outer: Any, inner: Any
) -> None:
    page = signed_in(crew.technician)
    new = {"kind": CARBURETTOR, "title": "Carburettor", "serial": "C-1", "initial_h": "12,5"}
    for serial, address in (("C-1", "/engines/1200/"), ("C-2", "/engines/1600/")):
        sent = {**new, "serial": serial, "when": "2025-05-01T09:00"}
        assert page.post(f"{address}components/new/", sent)["Location"] == address
    again = page.post("/engines/1200/components/new/", {**new, "serial": "C-3", "when": "2025-05-02T09:00"})
    assert again.status_code == 422 and "has a carburettor already" in again.content.decode()
    assert Component.objects.count() == 2
    swap = {"kind": CARBURETTOR, "other": "1600", "when": "2025-05-02T09:00"}
    assert page.post("/engines/1200/components/swap/", swap).status_code == 302
    shown = page.get("/engines/1200/").content.decode()
    assert "serial C-2" in shown and "12.5 h" in shown
    first = Component.objects.get(serial="C-1")
    history = f"/components/{first.entry_sequence}/"
    shown = page.get(history).content.decode()
    assert "on Inner" in shown and "Outer" in shown
    page.post(f"{history}remove/", {"when": "2025-05-03T09:00", "remark": "worn"})
    assert queries.fitting_of(first) is None
    page.post(f"{history}remove/", {"when": "", "remark": ""})
    fit = {"component": str(first.pk), "when": "2025-05-04T09:00"}
    assert page.post("/engines/1600/components/fit/", fit).status_code == 302
    page.post(f"{history}take-back/", {"when": "2025-05-04T09:00", "remark": "never was"})
    assert queries.fitting_of(first) is None
    overhaul = {"on_day": "2025-05-01", "remark": "new bearings"}
    assert page.post("/engines/1200/overhaul/", overhaul).status_code == 302
    assert "since the overhaul of 1 May 2025" in page.get("/engines/1200/").content.decode()
    page.post("/engines/1200/overhaul/take-back/", {"reason": "wrong engine"})
    assert queries.last_overhaul(outer) is None
    assert page.post("/engines/1200/overhaul/take-back/", {"reason": "x"}).status_code == 404
    assert page.get("/components/1/").status_code == 404
    assert queries.end_of(date(2025, 5, 1)).hour == 23
