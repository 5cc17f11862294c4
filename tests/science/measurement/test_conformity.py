"""A reading held against its limits, and what is said about it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.measurement.conformity import (
    Decision,
    MeasuringInstrument,
    Rule,
    Verdict,
    decide,
    percent,
    sentence,
)

NUMBERS = st.floats(-1e3, 1e3)
ABOVE_ZERO = st.floats(1e-4, 1e2)


def lever_height(value: float, rule: Rule = Rule.GUARDED) -> Verdict:
    """A depth gauge read to 0.02 mm, good to 0.05 mm, on a lever that wants 1.2 to 1.6 mm."""
    return decide(value, 1.2, 1.6, resolution=0.02, expanded_uncertainty=0.05, rule=rule)


@pytest.mark.parametrize(
    ("value", "decision", "side"),
    [
        (1.40, Decision.INSIDE, ""),
        (1.05, Decision.OUTSIDE, "low"),
        (1.18, Decision.CANNOT_TELL, "low"),
        (1.22, Decision.CANNOT_TELL, "low"),
        (1.60, Decision.CANNOT_TELL, "high"),
        (1.65, Decision.OUTSIDE, "high"),
    ],
)
def test_a_lever_near_its_limit_cannot_be_told(value: float, decision: Decision, side: str) -> None:
    verdict = lever_height(value)
    assert (verdict.decision, verdict.side) == (decision, side)


@pytest.mark.parametrize(
    ("value", "decision"),
    [(1.20, "inside"), (1.60, "inside"), (1.19, "outside"), (1.61, "outside")],
)
def test_simple_acceptance_takes_the_reading_at_its_word(value: float, decision: str) -> None:
    assert lever_height(value, Rule.SIMPLE).decision == decision


def test_a_lower_limit_alone_is_enough() -> None:
    pop_off = decide(0.80, 0.7, None, resolution=0.02, expanded_uncertainty=0.05)
    assert pop_off.decision is Decision.INSIDE
    assert pop_off.upper is None


def test_resolution_is_added_unless_the_uncertainty_has_it_in_already() -> None:
    added = MeasuringInstrument(resolution=0.12, expanded_uncertainty=0.10)
    assert added.standard_uncertainty == pytest.approx(math.hypot(0.05, 0.12 / math.sqrt(12)))
    assert MeasuringInstrument(0.12, 0.10, resolution_included=True).standard_uncertainty == 0.05


def test_without_any_uncertainty_the_reading_decides_and_the_sentence_says_so() -> None:
    verdict = decide(1.2, 1.2, 1.6, resolution=0.0, expanded_uncertainty=0.0)
    assert (verdict.decision, verdict.probability_inside) == (Decision.INSIDE, 1.0)
    assert "not stated" in sentence(verdict, "mm")


def test_readings_that_would_be_sure_lie_a_guard_band_inside_the_limits() -> None:
    verdict = lever_height(1.22)
    assert verdict.sure_between is not None
    assert verdict.sure_between.lower == pytest.approx(1.2 + verdict.guard_band)
    assert lever_height(1.243).decision is Decision.INSIDE
    assert lever_height(1.241).decision is Decision.CANNOT_TELL


@given(NUMBERS, NUMBERS, ABOVE_ZERO, st.floats(0, 10), st.floats(0, 10), st.floats(0.51, 0.999))
def test_the_chance_is_a_chance_and_guarded_is_never_bolder_than_simple(
    value: float, lower: float, width: float, step: float, uncertainty: float, confidence: float
) -> None:
    both = [
        decide(
            value,
            lower,
            lower + width,
            resolution=step,
            expanded_uncertainty=uncertainty,
            rule=rule,
            confidence=confidence,
        )
        for rule in (Rule.GUARDED, Rule.SIMPLE)
    ]
    guarded, simple = both
    assert 0.0 <= guarded.probability_inside <= 1.0
    assert guarded.probability_inside + guarded.specific_risk == 1.0
    if guarded.decision is Decision.INSIDE:
        assert simple.decision is Decision.INSIDE


@given(NUMBERS, ABOVE_ZERO, ABOVE_ZERO, st.floats(0, 50))
def test_a_reading_further_above_its_lower_limit_is_surer(
    value: float, above: float, uncertainty: float, limit_below: float
) -> None:
    def sure(reading: float) -> float:
        return decide(
            reading, value - limit_below, None, resolution=0.0, expanded_uncertainty=uncertainty
        ).probability_inside

    assert sure(value + above) >= sure(value)


@given(st.floats(0.9, 1.9))
def test_a_stricter_confidence_never_turns_inside_out_of_doubt(value: float) -> None:
    def at(confidence: float) -> Decision:
        return decide(
            value, 1.2, 1.6, resolution=0.02, expanded_uncertainty=0.05, confidence=confidence
        ).decision

    if at(0.8) is Decision.CANNOT_TELL:
        assert at(0.99) is Decision.CANNOT_TELL


def test_the_working_can_be_redone_by_hand() -> None:
    working = lever_height(1.22).working("mm", "metering lever height")
    inputs = {quantity.name: quantity.value for quantity in working.inputs}
    u = math.hypot(inputs["expanded uncertainty U"] / 2, inputs["resolution d"] / math.sqrt(12))  # type: ignore[operator]
    below = 0.5 * math.erfc((1.22 - 1.2) / u / math.sqrt(2))
    assert working.result.value == pytest.approx(1.0 - below, abs=1e-9)
    assert "JCGM 106" in working.source


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"value": math.nan}, "reading must be a finite number"),
        ({"lower": None, "upper": None}, "no limit is given"),
        ({"lower": 2.0}, "above the upper limit"),
        ({"resolution": -0.1}, "resolution must be 0 or more"),
        ({"expanded_uncertainty": math.inf}, "expanded uncertainty must be 0 or more"),
        ({"coverage_factor": 0.0}, "coverage factor must be above 0"),
        ({"confidence": 0.5}, "confidence must lie between"),
    ],
)
def test_bad_input_is_refused_in_words(arguments: dict[str, float | None], words: str) -> None:
    good = {"value": 1.4, "lower": 1.2, "upper": 1.6, "resolution": 0.02, "expanded_uncertainty": 0.05}
    with pytest.raises(ValueError, match=words):
        decide(**(good | arguments))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (1.4, "1.40 mm ± 0.051: OK (1.2 to 1.6)."),
        (1.05, "1.05 mm ± 0.051: too low (1.2 to 1.6). Runs lean."),
        (1.65, "1.65 mm ± 0.051: too high (1.2 to 1.6). Floods."),
        (
            1.18,
            "1.18 mm ± 0.051: too close to 1.2 for this gauge. If too low: runs lean. Measure again, or use a "
            "finer gauge.",
        ),
    ],
)
def test_a_verdict_is_said_in_a_sentence(value: float, said: str) -> None:
    assert sentence(lever_height(value), "mm", "runs lean", "floods.") == said


def test_a_coarse_instrument_is_named_as_the_trouble() -> None:
    groove = decide(0.05, 0.038, 0.10, resolution=0.01, expanded_uncertainty=0.06)
    assert "too coarse for 0.038 to 0.1 mm" in sentence(groove, "mm")


def test_one_sided_limits_read_naturally() -> None:
    loss = decide(0.01, None, 0.03, resolution=0.0, expanded_uncertainty=0.01)
    assert sentence(loss, "bar") == "0.01 bar ± 0.01: OK (max 0.03)."
    pop_off = decide(0.8, 0.7, None, resolution=0.02, expanded_uncertainty=0.05)
    assert sentence(pop_off, "bar") == "0.80 bar ± 0.051: OK (min 0.7)."


def test_a_simple_verdict_says_that_it_is_as_read() -> None:
    assert sentence(lever_height(1.22, Rule.SIMPLE), "mm") == "1.22 mm ± 0.051: OK as read (1.2 to 1.6)."


@given(st.floats(0, 1))
def test_a_chance_is_never_called_certain(chance: float) -> None:
    assert percent(chance) not in ("0 %", "0.0 %", "100 %", "100.0 %")


def test_figures_finer_than_the_resolution_are_not_lost() -> None:
    verdict = decide(1.405, 1.2, 1.6, resolution=0.02, expanded_uncertainty=0.05)
    assert sentence(verdict, "mm").startswith("1.405 mm ")
