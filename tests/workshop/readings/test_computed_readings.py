"""Readings that are computed: what they come to, how sure that is, and what else they tell."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.sheets import Geometry, LimitRow, shipped_sheets
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings.computed import COMPUTATIONS, MeasurementContext
from tickover.workshop.readings.input_fields import TYPED
from tickover.workshop.readings.judging import judge, parse
from tickover.workshop.readings.measuring import (
    Measured,
    fields_for,
    inputs_giving,
    measure,
    typed_reading_giving,
)
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import TypedReading
from tickover.workshop.visits.models import Reading

SHEET = next(iter(shipped_sheets().values()))
GEOMETRY = SHEET.geometry


def limit(computed: str, unit: str = "mm", **change: Any) -> LimitRow:
    facts = {
        "id": "measured",
        "title": "What is measured",
        "unit": unit,
        "lower": 0.9,
        "upper": 1.5,
        "plausible_lower": 0.0,
        "plausible_upper": 1000.0,
        "instrument": "Gauge",
        "resolution": 0.01,
        "expanded_uncertainty": 0.02,
        "rule": "guarded",
        "action_outside": "Look again.",
        "authority": "from memory",
        "computed": computed,
    }
    return LimitRow(**{**facts, **change})


def site(computed: str, unit: str = "mm", geometry: Geometry = GEOMETRY, **change: Any) -> MeasurementContext:
    return MeasurementContext(limit(computed, unit, **change), geometry)


def read(where: MeasurementContext, gauge: Gauge | None = None, unit: str = "", **typed: str) -> Measured:
    entry = TypedReading({f"of-{name.replace('_', '-')}": text for name, text in typed.items()}, unit=unit)
    return judge(parse(entry, where), where, gauge, confirmed=False)


def also(measured: Measured, name: str) -> float:
    return next(float(q.value) for q in measured.workings[0].inputs if q.name.startswith(name))


def test_every_computation_is_known_to_the_sheets() -> None:
    for name in COMPUTATIONS:
        assert limit(name).computed == name


@pytest.mark.parametrize(
    ("name", "unit", "value"),
    [
        ("squish-both-sides", "mm", 1.2),
        ("belt-tension", "N", 300.0),
        ("pressure-loss", "bar", 0.02),
        ("offset-adapter", "N.m", 10.0),
        ("ring-gap-per-bore", "mm per mm bore", 0.004),
        ("ring-gap-per-bore", "%", 0.4),
        ("track-spread", "mm", 0.5),
        ("", "mm", 1.2),
    ],
)
def test_numbers_near_a_value_come_out_at_it(name: str, unit: str, value: float) -> None:
    where = site(name, unit)
    amounts = inputs_giving(where, value)
    assert measure(where, amounts, None).value == pytest.approx(value)
    again = judge(parse(typed_reading_giving(where, value), where), where, None, confirmed=False)
    assert again.value == pytest.approx(value)


def test_squish_is_the_mean_of_both_sides_and_a_tilt_is_told() -> None:
    """Tilt above 0.10 mm: common practice, no source."""
    straight, tilted = (read(site("squish-both-sides"), side_a="1.10", side_b=b) for b in ("1.20", "1.21"))
    assert (round(straight.value, 9), straight.notes) == (1.15, ())
    assert "differ by 0.11 mm" in tilted.notes[0]
    assert also(tilted, "tilt") == pytest.approx(0.11)


def test_squish_read_in_inches() -> None:
    measured = read(site("squish-both-sides"), unit="in", side_a="0.045", side_b="0.047 in")
    assert measured.value == pytest.approx(0.046 * 25.4, rel=1e-15)


def test_two_readings_of_one_gauge_make_a_surer_mean() -> None:
    """JCGM 100:2008, 4.2.3: u/√2 for two independent readings; a named gauge of U = 0.02 and steps of 0.01."""
    gauge = Gauge("M-1", "Micrometer", "mm", 0.01, 0.02, 0.0, None, None, True, "", "C")
    single = math.hypot(0.01, 0.01 / math.sqrt(12))
    measured = read(site("squish-both-sides"), gauge, side_a="1.2", side_b="1.2")
    assert measured.verdict.standard_uncertainty == pytest.approx(single / math.sqrt(2))
    supposed = read(site("squish-both-sides"), side_a="1.2", side_b="1.2")
    assert supposed.verdict.standard_uncertainty == pytest.approx(single)


def test_belt_tension_by_its_tone() -> None:
    """T = 4·m·L²·f² by hand: 4 × 0.08 × 0.25² × 60² = 72 N; relative (u/T)² = (2·u_L/L)² + (u_m/m)² + (2·u_f/f)²."""
    where = site("belt-tension", "N", lower=50.0, upper=100.0, expanded_uncertainty=0.0)
    gauge = Gauge("B-1", "Belt meter", "Hz", 0.1, 1.0, 0.0, 10.0, 400.0, True, "", "C")
    measured = read(where, gauge, frequency="60", span="250", mass="0.08")
    assert measured.value == pytest.approx(72.0)
    tone = math.hypot(0.5, 0.1 / math.sqrt(12)) / 60.0
    span = 1.0 / math.sqrt(3) / 250.0
    mass = next(a.within for a in fields_for(where) if a.name == "of-mass") / math.sqrt(3) / 0.08
    relative = math.sqrt((2 * tone) ** 2 + (2 * span) ** 2 + mass**2)
    assert measured.verdict.standard_uncertainty == pytest.approx(72.0 * relative, rel=1e-3)
    assert "u² = Σ(cᵢ·uᵢ)²" in measured.workings[0].formula


def test_a_limit_on_the_tone_itself_tells_the_tension_beside_it() -> None:
    """4 × 0.08 × 0.25² × 60² = 72 N, for a belt that the sheet knows; else it says what is blank."""
    tone = {"unit": "Hz", "lower": 55.0, "upper": 65.0, "repeats": 3, "spread_max": 2.0}
    known = GEOMETRY.model_copy(update={"belt_span_m": 0.25, "belt_mass_kg_per_m": 0.08})
    where = site("belt-tension", geometry=known, **tone)
    amounts = inputs_giving(where, 60.0)
    assert list(amounts) == ["typed_1", "typed_2", "typed_3"]
    measured = measure(where, amounts, None)
    assert (measured.value, measured.decision, len(measured.workings)) == (60.0, "inside", 3)
    assert measured.notes[1].startswith("Belt tension 72 N, standard uncertainty")
    blank = GEOMETRY.model_copy(update={"belt_span_m": None, "belt_mass_kg_per_m": None})
    unknown = measure(site("belt-tension", geometry=blank, **tone), amounts, None)
    assert "leaves blank “Free span”" in unknown.notes[1]


def test_a_loss_by_cooling_is_no_leak() -> None:
    """Ideal gas: 0.35 bar over 1013.25 hPa at 30 °C is 0.3051 bar over it at 20 °C, with nothing lost."""
    cooled = (0.35 + 1.01325) * 293.15 / 303.15 - 1.01325
    where = site("pressure-loss", "bar", lower=None, upper=0.035)
    warm = {"start_temperature": "30", "end_temperature": "20", "minutes": "10", "start": "0.35"}
    measured = read(where, end=f"{cooled:.6f}", **warm)
    assert measured.value == pytest.approx(0.0, abs=2e-6)
    assert "cooled by 10 °C" in measured.notes[0]


def test_the_leak_as_air_of_the_reference_conditions() -> None:
    """V·Δp/(p·t)·T₀/T: 500 cm³ × 0.02 bar / 1.01325 bar / 10 min × 288.15/293.15 = 0.970 cm³/min (ideal gas)."""
    where = site("pressure-loss", "bar", lower=None, upper=0.035)
    measured = read(where, start="0.35", end="0.33", minutes="10", volume="500")
    assert measured.value == pytest.approx(0.02)
    assert also(measured, "leak") == pytest.approx(500 * 0.02 / 1.01325 / 10 * 288.15 / 293.15)
    assert also(measured, "lost a minute") == pytest.approx(0.002)
    assert 0.0 < also(measured, "as one round hole") < 0.2


def test_a_vacuum_that_rises_is_a_loss_too() -> None:
    measured = read(
        site("pressure-loss", "bar", lower=None, upper=0.035), start="-0.35", end="-0.33", minutes="10"
    )
    assert measured.value == pytest.approx(0.02)


def test_an_adapter_asks_for_a_lower_setting_first() -> None:
    """Statics: with 250 mm of wrench and 50 mm of adapter, 10 N.m at the nut is set as 10·250/300 = 8.33."""
    where = site("offset-adapter", "N.m", nominal=10.0, lower=9.0, upper=10.0)
    with pytest.raises(NumberError, match=r"Set the wrench to 8\.33 N\.m: .* that is 10 N\.m at the nut"):
        read(where, wrench_length="250", offset="50")
    measured = read(where, wrench_length="250", offset="50", setting="8,1")
    assert measured.value == pytest.approx(8.1 * 300 / 250)


def test_ring_gap_for_the_bore_it_lies_in() -> None:
    where = site("ring-gap-per-bore", "mm per mm bore", lower=0.003, upper=0.006, expanded_uncertainty=0.0)
    assert read(where, gap="0.26", bore="65").value == pytest.approx(0.004)
    assert read(where, gap="0.26").value == pytest.approx(0.26 / GEOMETRY.bore_mm)


def test_track_is_the_spread_of_the_tips_and_a_tie_is_not_certain() -> None:
    where = site("track-spread", lower=None, upper=1.6)
    assert len(fields_for(where)) == GEOMETRY.propeller.blades
    assert read(where, blade_1="10", blade_2="10.5").value == pytest.approx(0.5)
    tie = read(
        where, Gauge("R", "Rule", "mm", 0.5, 0.5, 0.0, None, None, True, "", ""), blade_1="10", blade_2="10"
    )
    assert tie.verdict.standard_uncertainty == pytest.approx(
        math.sqrt(2) * math.hypot(0.25, 0.5 / math.sqrt(12))
    )


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("squish-both-sides", {"side_a": "1.2"}),
        ("ring-gap-per-bore", {"gap": "0.2", "bore": "0"}),
        ("pressure-loss", {"start": "0.3", "end": "0.3", "minutes": "0"}),
        ("belt-tension", {"frequency": "fast", "span": "200", "mass": "0.1"}),
    ],
)
def test_numbers_that_give_nothing_are_refused(name: str, typed: dict[str, str]) -> None:
    unit = {"belt-tension": "N", "pressure-loss": "bar"}.get(name, "mm")
    with pytest.raises(NumberError):
        read(site(name, unit), **typed)


def test_a_result_far_from_anything_is_asked_about() -> None:
    with pytest.raises(ImplausibleNumber, match=r"comes out at 12\.00 mm.*Check each number and its unit"):
        read(site("squish-both-sides", plausible_upper=5.0), side_a="12", side_b="12")


@given(st.floats(0.5, 2.0), st.floats(0.5, 2.0))
def test_the_working_leads_to_the_value(a: float, b: float) -> None:
    measured = measure(site("squish-both-sides"), {"of-side-a": a, "of-side-b": b}, None)
    assert float(measured.workings[0].result.value) == pytest.approx((a + b) / 2, abs=1e-4)
    assert [q.value for q in measured.workings[0].inputs[:2]] == [a, b]


# On a job


@pytest.fixture
def job(sheet_with: Callable[..., None], outer: Any, hands: Any) -> Any:
    """A service in which the lever height stands for a mean of two sides."""
    sheet_with("limits", "lever-height", computed="squish-both-sides", repeats=1)
    return hands.open(outer, "diaphragm-service")


def test_a_computed_reading_is_kept_as_typed_and_comes_out_the_same_again(
    job: Any, crew: Any, now: datetime, verified: None
) -> None:
    entry = TypedReading({"of-side-a": "1,38", "of-side-b": "0.055 in"})
    row = actions.take_reading(job, "lever-height", entry, who=crew.technician, at=now)
    assert [(i["typed"], i["value"]) for i in row.inputs] == [("1,38", 1.38), ("0.055 in", 1.397)]
    line = queries.job_sheet(job).step("lever-height").reading
    assert line.measured.value == row.value == pytest.approx(1.3885)
    assert (line.verdict.decision, len(line.workings)) == (row.decision, 2)


def test_its_fields_are_on_the_page_and_on_the_card(
    job: Any, crew: Any, signed_in: Callable[..., Client], verified: None
) -> None:
    client = signed_in(crew.technician)
    address = f"/visits/{job.number}/steps/lever-height/"
    assert 'name="of-side-a"' in client.get(address).content.decode()
    assert client.get(f"/visits/{job.number}/work-card.pdf").status_code == 200
    client.post(f"{address}reading/", {"of-side-a": "1.3", "of-side-b": "1.45"})
    page = client.get(address).content.decode()
    assert Reading.objects.get().value == pytest.approx(1.375)
    assert "a tilt" in page and "Share of “Solder" in page
    assert TYPED in {a.name for a in fields_for(site(""))}
