"""How sure a sum is: what is typed as give or take reaches its answer, its words and its working."""

from __future__ import annotations

import pytest

from tickover.workshop.calculations.calculation import Result
from tickover.workshop.calculations.catalogue import SUMS
from tickover.workshop.calculations.working_out import WorkedOut, work_out

FUEL_AT_TWO = "fuel-full 8.9 0.2 0; fuel-full 8.8 0.2 0; fuel-full 7.1 0.2 -0.3"
LEAK_INPUTS = ("start", "end", "time", "volume", "start-temperature", "end-temperature")
DRY = {
    "then-humidity": "0",
    "now-humidity": "0",
    "then-humidity.give-or-take": "0",
    "now-humidity.give-or-take": "0",
}
SURE = {f"{day}-{what}.give-or-take": "0" for day in ("then", "now") for what in ("temperature", "pressure")}


def result(done: WorkedOut, result_id: str) -> Result:
    assert done.answer is not None, done.refused
    return next(found for found in done.answer.results if found.id == result_id)


def half(done: WorkedOut, result_id: str) -> float:
    found = result(done, result_id)
    assert found.lower is not None and found.upper is not None
    return (found.upper - found.lower) / 2.0


def test_a_leak_beyond_what_the_readings_leave_open_is_told() -> None:
    done = work_out(SUMS["leak"], {})
    assert done.sentences[0].startswith("It leaks") and "a real leak" in done.sentences[-1]
    # By hand: 450 cm3 · 4000 Pa / 600 s = 0.003 Pa m3/s, at 20 degC; as air of 15 degC and 1013.25 hPa 0.00175 l/min.
    assert result(done, "leak").value == pytest.approx(0.003 / 101_325 * 288.15 / 293.15 * 60_000, rel=1e-6)


def test_a_leak_within_what_the_readings_leave_open_cannot_be_told_from_none() -> None:
    done = work_out(SUMS["leak"], {"end": "0.349"})
    assert done.sentences[0].startswith("Within the uncertainty: no leak shown")
    leak = result(done, "leak")
    assert leak.lower is not None and leak.upper is not None and leak.lower < 0.0 < leak.upper
    assert result(done, "most").value == max(-leak.lower, leak.upper)
    assert done.answer is not None and "hole" not in {r.id for r in done.answer.results}


def test_the_same_readings_by_a_finer_gauge_tell_it() -> None:
    finer = {f"{name}.give-or-take": "0.0001" for name in ("start", "end")}
    steady = {f"{name}-temperature.give-or-take": "0.01" for name in ("start", "end")}
    done = work_out(SUMS["leak"], {"end": "0.349", **finer, **steady})
    assert done.sentences[0].startswith("It leaks")


def test_without_any_give_or_take_it_cannot_say() -> None:
    done = work_out(SUMS["leak"], {f"{name}.give-or-take": "0" for name in LEAK_INPUTS})
    assert "No uncertainty given" in done.sentences[-1]


def test_a_gauge_that_rose_is_no_leak() -> None:
    done = work_out(SUMS["leak"], {"end": "0.36"})
    assert len(done.sentences) == 1 and "wrong way for a leak" in done.sentences[0]


def test_the_working_of_a_leak_shows_how_sure_it_is() -> None:
    done = work_out(SUMS["leak"], {})
    assert done.answer is not None
    shown = {q.name: q.value for q in done.answer.workings[0].inputs}
    # The interval is worked out field by field, the science's own in one formula: both by JCGM 100:2008, 5.1.2.
    per_l_min = result(done, "leak").value / float(shown["leak Q"])
    assert half(done, "leak") == pytest.approx(
        2 * float(shown["standard uncertainty of Q"]) * per_l_min, rel=0.01
    )


def test_how_sure_the_air_is_reaches_the_mixture() -> None:
    coarse = work_out(SUMS["mixture-today"], {"now-temperature.give-or-take": "10"})
    assert half(coarse, "change") > 1.1 * half(work_out(SUMS["mixture-today"], {}), "change")
    sure = work_out(SUMS["mixture-today"], SURE | DRY)
    assert 0.0 < half(sure, "change") < half(work_out(SUMS["mixture-today"], DRY), "change")


def test_ten_kelvin_leave_open_what_the_root_law_says() -> None:
    # Root law on an ideal gas: the mixture goes with the root of T, so u = 5 K of 301.15 K are 0.5 · 5/301.15; real
    # air a little more.
    done = work_out(SUMS["mixture-today"], SURE | DRY | {"now-temperature.give-or-take": "10"})
    assert done.answer is not None
    shown = {q.name: q for q in done.answer.workings[0].inputs}
    left = shown["left open by these readings, standard uncertainty"]
    assert left.value == pytest.approx(100.0 * 0.5 * 5.0 / 301.15, rel=0.005)
    assert shown["temperature now"].source == "± 5 K standard"


def test_elevation_counts_for_qnh_and_not_for_qfe() -> None:
    given = SURE | DRY | {"now-elevation.give-or-take": "200"}
    qnh, qfe = (work_out(SUMS["mixture-today"], given | {"pressure-is": which}) for which in ("qnh", "qfe"))
    assert half(qnh, "change") > 1.2 * half(qfe, "change")


@pytest.mark.parametrize("sum_id", ["mixture-today", "static-in-other-air"])
def test_what_is_refused_of_today_is_refused_at_today(sum_id: str) -> None:
    done = work_out(SUMS[sum_id], {"now-pressure": "600"})
    assert list(done.refused) == ["now-pressure"] and done.refused["now-pressure"].startswith(
        "Now: QNH must be"
    )
    assert list(work_out(SUMS[sum_id], {"then-pressure": "600"}).refused) == ["then-pressure"]


def test_the_height_of_a_lever_is_only_as_sure_as_it_was_measured() -> None:
    ends = [
        result(work_out(SUMS["metering-lever"], {"height": at}), "flow").value for at in ("-0.35", "-0.25")
    ]
    done = work_out(SUMS["metering-lever"], {"height": "-0.3", "height.give-or-take": "0.05"})
    assert half(done, "flow") == pytest.approx((ends[1] - ends[0]) / 2.0, rel=1e-6)


def test_own_readings_leave_their_uncertainty_on_the_pop_off() -> None:
    once = work_out(SUMS["metering-lever"], {"height": "0", "readings": "pop-off 1.30 0.05 0"})
    assert half(once, "pop") == pytest.approx(0.05, rel=1e-3)
    # Four alike are twice as sure as one: the root of four, JCGM 100:2008, 4.2.3.
    four = "; ".join(["pop-off 1.30 0.05 0"] * 4)
    done = work_out(SUMS["metering-lever"], {"height": "0", "readings": four})
    assert half(done, "pop") == pytest.approx(0.025, rel=1e-3)


def test_a_pop_off_alone_does_not_make_the_height_known() -> None:
    done = work_out(SUMS["metering-lever"], {"readings": "pop-off 1.30 0.05 0"})
    assert any("second lever height" in caution for caution in done.cautions)
    done = work_out(SUMS["metering-lever"], {"readings": FUEL_AT_TWO})
    assert not any("second lever height" in caution for caution in done.cautions)


def test_fuel_at_two_heights_is_given_back() -> None:
    done = work_out(SUMS["metering-lever"], {"height": "-0.3", "readings": FUEL_AT_TWO})
    assert result(done, "flow").value == pytest.approx(7.1, abs=0.1)
    assert result(done, "full").value == pytest.approx(100.0 * (7.1 / 8.85 - 1.0), abs=1.5)


def test_readings_that_contradict_each_other_are_told() -> None:
    done = work_out(SUMS["metering-lever"], {"readings": "fuel-full 9 0.1 0; fuel-full 12 0.1 0"})
    assert any("do not match" in caution for caution in done.cautions)


def test_unless_told_otherwise_a_day_is_known_to_1_k_150_pa_and_a_tenth() -> None:
    done = work_out(SUMS["mixture-today"], {"then-humidity": "50", "now-humidity": "60"})
    assert done.answer is not None
    shown = {q.name: q.source for q in done.answer.workings[0].inputs}
    for day in ("then", "now"):
        told = [shown[f"{what} {day}"] for what in ("temperature", "pressure", "humidity")]
        assert told == ["± 1 K standard", "± 150 Pa standard", "± 0.1 standard"]


ASSUME_HUMIDITY = sorted(
    (name, field.name)
    for name, asked in SUMS.items()
    for field in asked.fields
    if field.name.endswith("humidity") and name != "air-density"
)
"""The density of the air takes saturated air for a blank, and says so."""


@pytest.mark.parametrize(("name", "field"), ASSUME_HUMIDITY)
def test_a_humidity_that_nobody_gave_is_assumed_said_and_left_open(name: str, field: str) -> None:
    others = {other: "50" for sum_name, other in ASSUME_HUMIDITY if sum_name == name and other != field}
    blank, given = work_out(SUMS[name], others), work_out(SUMS[name], {**others, field: "50"})
    assert SUMS[name].field(field).default == ""  # type: ignore[union-attr]
    assert blank.answer is not None and given.answer is not None
    first = blank.answer.results[0].id
    assert result(blank, first).value == result(given, first).value
    assert half(blank, first) > half(given, first)
    said = [sentence for sentence in blank.sentences if "is not given: 50 % assumed" in sentence]
    assert len(said) == 1 and "by that" in said[0] and not any("assumed" in s for s in given.sentences)


def test_what_an_unknown_humidity_moves_is_told_as_large_as_it_is() -> None:
    # By hand: dry and saturated air apart by the range of the rectangle, of which 2/sqrt(12) counts to each side.
    ends = [result(work_out(SUMS["static-thrust"], {"humidity": h}), "thrust").value for h in ("0", "100")]
    blank = next(s for s in work_out(SUMS["static-thrust"], {}).sentences if "assumed" in s)
    told = float(blank.split("± ")[1].split("\N{NO-BREAK SPACE}")[0])
    assert told == pytest.approx((ends[0] - ends[1]) * 2.0 / 12.0**0.5, rel=0.05)
