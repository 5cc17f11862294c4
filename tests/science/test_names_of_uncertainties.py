"""One way to name how sure a figure is, in every signature and every result of science.

`standard_uncertainty` is in the unit of the one value it belongs to; `u_WHAT_UNIT`, or `u_UNIT` where there is one
quantity only, is the standard uncertainty of one input among several; `expanded_uncertainty` is two standard ones.
`sd`, `WHAT_sd` is how far many things scatter, which is no uncertainty of one value. None of them has a default of
zero: whoever knows a figure exactly says so.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.science.public_functions import modules

WORDS = re.compile(r"(^|_)(u|sd|sigma|std|stdev|se|unc|uncertainty|uncertainties|expanded|plus_minus)(_|$)")
UNITS = ("pa", "k", "m3", "min", "s", "h", "g", "hz", "mm", "m", "l_min", "pa_m3_s")
SHARES = ("humidity", "share")
"""Quantities without a unit."""
ALLOWED = (
    re.compile(r"standard_uncertaint(y|ies)|expanded_uncertainty"),
    re.compile(rf"u_([a-z0-9]+_)*({'|'.join(UNITS)})"),
    re.compile(rf"u_({'|'.join(SHARES)})"),
    re.compile(r"sd|[a-z]+_sd"),
)
ESTIMATED = {
    ("AirOfTheDay", "u_temperature_k"): 1.0,
    ("AirOfTheDay", "u_pressure_pa"): 150.0,
    ("AirOfTheDay", "u_humidity"): 0.1,
}
"""Defaults that are a guess to the large side: a weather report of a field nearby. A judgement, no source."""


def names() -> Iterator[tuple[str, str, str, Any]]:
    """Module, owner, name and default of every argument and every field in science."""
    for module_name, module in modules().items():
        for own, thing in vars(module).items():
            if getattr(thing, "__module__", "") != module.__name__:
                continue
            if inspect.isfunction(thing):
                yield from ((module_name, own, *one) for one in _arguments(thing))
            elif inspect.isclass(thing):
                for method in filter(inspect.isfunction, vars(thing).values()):
                    if not method.__name__.startswith("__"):
                        yield from ((module_name, own, *one) for one in _arguments(method))
                if dataclasses.is_dataclass(thing):
                    yield from ((module_name, own, f.name, f.default) for f in dataclasses.fields(thing))


def _arguments(function: Any) -> Iterator[tuple[str, Any]]:
    for parameter in inspect.signature(function).parameters.values():
        default = dataclasses.MISSING if parameter.default is inspect.Parameter.empty else parameter.default
        yield parameter.name, default


UNCERTAINTIES = [row for row in names() if WORDS.search(row[2])]


def test_there_are_uncertainties_to_look_at() -> None:
    assert len(UNCERTAINTIES) > 60


def test_every_uncertainty_is_named_in_one_of_four_ways() -> None:
    wrong = [
        f"{module}.{own}: {name}"
        for module, own, name, _ in UNCERTAINTIES
        if not own.startswith("_") and not any(way.fullmatch(name) for way in ALLOWED)
    ]
    assert not wrong, "\n".join(sorted(set(wrong)))


def test_no_uncertainty_has_a_default_but_those_guessed_to_the_large_side() -> None:
    found = {
        (own, name): default for _, own, name, default in UNCERTAINTIES if default is not dataclasses.MISSING
    }
    assert found == ESTIMATED


@pytest.mark.parametrize("name", ["u", "sigma_mm", "temperature_sd_k", "u_reading", "uncertainty", "sd_h"])
def test_another_way_to_name_it_is_found(name: str) -> None:
    assert WORDS.search(name) and not any(way.fullmatch(name) for way in ALLOWED)
