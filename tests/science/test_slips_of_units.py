"""A number in the wrong unit is refused: metres for millimetres, degrees Celsius for kelvin, bar for pascals.

Every argument of every public function whose name says its unit is given in the units it is mistaken for, from its
good call. Slips by less than a factor of 50 (inches for millimetres, centimetres) cannot be told from another engine.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np
import pytest

from tests.science.good_calls import GOOD
from tests.science.test_nonsense_is_refused import BUILT, called, like
from tickover.science.core.input_checks import Refused
from tickover.science.measurement.thermocouple import read_type_k

Slip = Callable[[Any], Any]


def times(factor: float) -> Slip:
    return lambda array: array * factor


SLIPS: dict[str, dict[str, Slip]] = {
    "k": {"deg C": lambda array: array - 273.15},
    "c": {"K": lambda array: array + 273.15},
    "pa": {"hPa": times(1e-2), "kPa": times(1e-3), "bar": times(1e-5)},
    "mm": {"m": times(1e-3), "µm": times(1e3)},
    "m": {"mm": times(1e3), "cm": times(1e2)},
    "m3": {"l": times(1e3), "cm3": times(1e6)},
    "cm3": {"l": times(1e-3), "m3": times(1e-6), "mm3": times(1e3)},
    "l": {"ml": times(1e3), "m3": times(1e-3)},
    "mm2": {"m2": times(1e-6), "cm2": times(1e-2)},
    "s": {"min": times(1 / 60), "ms": times(1e3)},
    "min": {"s": times(60.0), "h": times(1 / 60)},
    "mv": {"V": times(1e-3), "µV": times(1e3)},
    "nm": {"N.mm": times(1e3), "kN.m": times(1e-3)},
    "l_min": {"l/h": times(60.0), "l/s": times(1 / 60), "ml/min": times(1e3)},
    "kg_m3": {"kg/l": times(1e-3), "g/m3": times(1e3)},
    "rpm": {"Hz": times(1 / 60)},
    "hz": {"rpm": times(60.0), "kHz": times(1e-3)},
    "kg": {"g": times(1e3), "t": times(1e-3)},
    "g": {"kg": times(1e-3), "mg": times(1e3)},
    "gmm": {"kgm": times(1e-6), "gm": times(1e-3)},
    "kg_s": {"g/s": times(1e3), "kg/h": times(3600.0)},
    "w": {"kW": times(1e-3)},
    "n": {"kN": times(1e-3)},
    "kgf": {"g": times(1e3)},
    "deg": {"rad": times(np.pi / 180.0)},
    "percent": {"share": times(1e-2)},
    "share": {"percent": times(1e2)},
    "m_s": {"mm/s": times(1e3)},
    "kg_per_m": {"g/m": times(1e3)},
    "n_mm": {"N/m": times(1e3)},
    "n_mm3": {"N/m3": times(1e9)},
    "mm_s": {"m/s": times(1e-3)},
    "turns": {"deg": times(360.0)},
}
ANGLE = "every angle can be"
SMALL = "no pressure, leak or unbalance is too small to be measured"
MOMENT = "a moment of a run or a log: any time can be"
SHORT = "a log of a few seconds is one all the same"
PLACE = "every place on earth can be"
ALLOWED: dict[tuple[str, str], str] = {
    ("crank_deg", "rad"): ANGLE,
    ("before_top_deg", "rad"): ANGLE,
    ("angles_deg", "rad"): ANGLE,
    ("at_deg", "rad"): ANGLE,
    ("second_deg", "rad"): ANGLE,
    ("phase_deg", "rad"): ANGLE,
    ("flow_kg_s", "g/s"): "a pinhole and an open hose are a million times apart",
    ("flow_kg_s", "kg/h"): "a pinhole and an open hose are a million times apart",
    ("end_pa", "hPa"): "a test may lose nearly all of its pressure",
    ("end_pa", "kPa"): "a test may lose nearly all of its pressure",
    ("leak_l_min", "l/s"): SMALL,
    ("unbalance_gmm", "gm"): SMALL,
    ("depression_pa", "hPa"): "an idle pulls a few pascals only in a wide throat",
    ("depression_pa", "kPa"): "an idle pulls a few pascals only in a wide throat",
    ("depression_pa", "bar"): "an idle pulls a few pascals only in a wide throat",
    ("torque_nm", "N.mm"): "from_nm converts whatever it is given",
    ("torque_nm", "kN.m"): "from_nm converts whatever it is given",
    ("temperature_c", "K"): "a thermocouple takes what a furnace has",
    ("t_s", "min"): SHORT,
    ("t_s", "ms"): MOMENT,
    ("min_run_s", "min"): SHORT,
    ("max_gap_s", "min"): SHORT,
    ("start_s", "min"): MOMENT,
    ("start_s", "ms"): MOMENT,
    ("end_s", "min"): MOMENT,
    ("end_s", "ms"): MOMENT,
    ("moment_s", "min"): MOMENT,
    ("moment_s", "ms"): MOMENT,
    ("moments_s", "min"): MOMENT,
    ("moments_s", "ms"): MOMENT,
    ("lat_deg", "rad"): PLACE,
    ("lon_deg", "rad"): PLACE,
    ("voltage_mv", "V"): "temperature_c has no place for a doubt; read_type_k says it",
    ("blur_s", "min"): "a speed may be as sharp as it likes",
    ("rate_hz", "rpm"): "some sound cards take 384,000 samples a second",
}
"""Slips that are answered, by the last part of the argument and the unit, and why they cannot be told."""
WHERE = {
    "depression_pa": ("fuel_system.venturi.throat_mm", "fuel_system.venturi.venturi_flow_kg_s"),
    "torque_nm": ("fasteners.preload_and_torque.from_nm",),
    "temperature_c": ("measurement.thermocouple.emf_mv", "measurement.thermocouple.wire_tolerance_k"),
    "voltage_mv": ("measurement.thermocouple.temperature_c",),
    "leak_l_min": ("engine.induction_leak.induction_leak",),
    "unbalance_gmm": ("engine.balance.rotating_force_n",),
    "flow_kg_s": ("fuel_system.orifice.hole_m",),
    "end_pa": ("engine.pressure_decay.leak_from_decay",),
}
"""Functions that an exception is for, where others of the same argument refuse it."""
SHARES = (
    "humidity",
    "discharge",
    "coefficient",
    "merit",
    "filling",
    "confidence",
    "service",
    "mechanical_efficiency",
)
UNIT = re.compile(rf"(?:^|_)({'|'.join(sorted(SLIPS, key=len, reverse=True))})$")


def unit_of(name: str) -> str:
    """The unit that a name says; none for uncertainties, which may be as small as they like."""
    if name in SHARES:
        return "share"
    found = UNIT.search(name)
    return found[1] if found and not name.startswith("u_") else ""


def is_number(value: Any) -> bool:
    if isinstance(value, np.ndarray):
        return value.dtype.kind in "iuf"
    if isinstance(value, list | tuple):
        return bool(value) and all(is_number(one) for one in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


def slipped() -> Iterator[tuple[str, str, str, Callable[[], Any]]]:
    """Function, argument, unit it is given in, and the call."""
    for name, good in GOOD.items():
        for argument, value in good.call.items():
            for where, unit, bent in slips(argument, value):
                yield name, where, unit, partial(answer_to, name, argument, bent)


def answer_to(name: str, argument: str, bent: Callable[[], Any]) -> Any:
    return called(name, {**GOOD[name].call, argument: bent()})


def slips(name: str, value: Any) -> Iterator[tuple[str, str, Callable[[], Any]]]:
    if is_number(value) and np.any(np.asarray(value)):
        for unit, slip in SLIPS.get(unit_of(name), {}).items():
            yield name, unit, partial(converted, value, slip)
    elif dataclasses.is_dataclass(value) and type(value).__name__ in BUILT:
        for field in dataclasses.fields(value):
            if field.init:
                for where, unit, bent in slips(field.name, getattr(value, field.name)):
                    yield f"{name}.{where}", unit, partial(with_field, value, field.name, bent)


def converted(value: Any, slip: Slip) -> Any:
    return like(value, slip(np.asarray(value, dtype=np.float64)))


def with_field(value: Any, name: str, bent: Callable[[], Any]) -> Any:
    return dataclasses.replace(value, **{name: bent()})


@pytest.mark.parametrize("name", sorted({row[0] for row in slipped()}))
def test_a_number_in_another_unit_is_refused_or_doubted(name: str) -> None:
    answered = []
    for function, where, unit, call in slipped():
        if function != name:
            continue
        try:
            answer = call()
        except Refused:
            continue
        if not (getattr(answer, "doubts", ()) or getattr(answer, "remarks", ())):
            answered.append((where, unit))
    wrong = [f"{where} in {unit}" for where, unit in answered if not allowed(name, where, unit)]
    assert not wrong, wrong


def allowed(name: str, where: str, unit: str) -> bool:
    argument = where.rsplit(".", 1)[-1]
    return (argument, unit) in ALLOWED and name in WHERE.get(argument, (name,))


def test_every_exception_is_still_needed() -> None:
    needed = set()
    for _, where, unit, call in slipped():
        if (key := (where.rsplit(".", 1)[-1], unit)) in ALLOWED and key not in needed:
            try:
                call()
            except Refused:
                continue
            needed.add(key)
    assert sorted(ALLOWED) == sorted(needed)


def test_slips_are_looked_for_in_most_of_science() -> None:
    assert len(list(slipped())) > 700


@pytest.mark.parametrize("volts", [4e-3, -4e-3])
def test_volts_for_millivolts_are_doubted_and_so_is_a_probe_as_warm_as_its_instrument(volts: float) -> None:
    assert "volts were taken for millivolts" in read_type_k(volts).doubts[0]
    assert not read_type_k(0.1).doubts and not read_type_k(0.0).doubts
