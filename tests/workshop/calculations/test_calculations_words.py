"""What a sum says and leaves out, where the figures ask for it."""

from __future__ import annotations

import pytest

from tickover.workshop.calculations.catalogue import SUMS
from tickover.workshop.calculations.working_out import WorkedOut, work_out


def names(done: WorkedOut) -> set[str]:
    assert done.answer is not None, done.refused
    return {result.id for result in done.answer.results}


def test_air_too_dry_for_a_dew_point_still_has_a_density() -> None:
    dry = work_out(SUMS["air-density"], {"temperature": "-40", "humidity": "0.2"})
    assert "density" in names(dry) and "dew" not in names(dry)
    assert "dew" in names(work_out(SUMS["air-density"], {}))


def test_a_day_of_40_below_has_a_density_altitude() -> None:
    # Dry ideal gas: 101325/(287.053 · 233.15) = 1.51397 kg/m3; ISO 2533's law turned round gives -2.27 km.
    done = work_out(SUMS["air-density"], {"temperature": "-40", "humidity": "0"})
    assert done.answer is not None, done.refused
    height = next(result.value for result in done.answer.results if result.id == "height")
    by_law = 288.15 / 0.0065 * (1.0 - (101_325 / (287.05287 * 233.15) / 1.225) ** 0.234969)
    assert height == pytest.approx(by_law, abs=1.0)


def test_ports_that_were_exchanged_are_told() -> None:
    given = {"exhaust-edge": "41", "transfer-edge": "32"}
    assert any(
        "were the two exchanged" in caution for caution in work_out(SUMS["port-timing"], given).cautions
    )
    assert not work_out(SUMS["port-timing"], {}).cautions


def test_a_blank_pitch_is_the_coarse_one_of_that_diameter() -> None:
    # ISO 261: M8 has a coarse pitch of 1.25 mm.
    blank, typed = (work_out(SUMS["screw-preload"], {"diameter": "8", "pitch": p}) for p in ("", "1.25"))
    assert blank.sentences == typed.sentences
    odd = work_out(SUMS["screw-preload"], {"diameter": "9", "pitch": ""})
    assert list(odd.refused) == ["pitch"] and "measure it" in odd.refused["pitch"]


def test_exchanged_frictions_are_refused_at_their_field() -> None:
    done = work_out(SUMS["screw-preload"], {"friction-least": "0.3", "friction-most": "0.1"})
    assert list(done.refused) == ["friction-least"] and "exchanged" in done.refused["friction-least"]


@pytest.mark.parametrize(
    ("pattern", "counted"), [("x", "clockwise from the first"), ("middle", "from one end of the row")]
)
def test_places_are_counted_as_the_joint_lies(pattern: str, counted: str) -> None:
    done = work_out(SUMS["tightening-order"], {"pattern": pattern}, draw=True)
    assert counted in done.sentences[-1]
    assert ("picture" in done.sentences[-1]) == bool(done.picture)


def test_a_temperature_is_named_as_it_is_printed() -> None:
    done = work_out(SUMS["unit-conversion"], {"value": "20", "from": "deg C", "to": "deg F"})
    assert done.sentences[0].startswith("20 °C is 68")


def test_a_hot_wire_beyond_its_tolerance_still_has_a_temperature() -> None:
    hot = work_out(SUMS["thermocouple"], {"voltage": "52", "cold-junction": "20"})
    assert names(hot) == {"hot"} and names(work_out(SUMS["thermocouple"], {})) == {"hot", "wire"}


def test_a_day_far_from_the_standard_one_is_told() -> None:
    far = work_out(SUMS["power-on-a-standard-day"], {"elevation": "2500"})
    assert any("0.93 to 1.07" in caution for caution in far.cautions)
    assert not work_out(SUMS["power-on-a-standard-day"], {}).cautions
