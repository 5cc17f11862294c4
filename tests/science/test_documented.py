"""Public functions of science say what they take, give, refuse and rest on, with an example that runs."""

from __future__ import annotations

import doctest
import inspect

import pytest

from tests.science.documented import STILL_LACKING, lacking
from tests.science.public_functions import modules, public

MODULES = modules()
PUBLIC = public()
WITH_ARGUMENTS = {
    name: function
    for name, function in PUBLIC.items()
    if len([argument for argument in inspect.signature(function).parameters if argument != "self"]) > 1
}


def test_every_function_of_two_arguments_or_more_is_documented_but_those_on_the_list() -> None:
    incomplete = {name for name, function in WITH_ARGUMENTS.items() if lacking(function)}
    assert incomplete - STILL_LACKING == set(), "give these their sections"
    assert STILL_LACKING - incomplete == set(), "these are complete: take them off the list"


def test_no_result_is_a_bare_tuple() -> None:
    given = {name: str(inspect.signature(function).return_annotation) for name, function in PUBLIC.items()}
    bare = {name for name, kind in given.items() if kind.startswith("tuple[") and "..." not in kind}
    assert bare == set(), "give the result a class with names"


def test_confidence_is_95_percent_unless_it_is_named() -> None:
    defaults = {
        name: parameter.default
        for name, function in PUBLIC.items()
        for parameter in inspect.signature(function).parameters.values()
        if parameter.name == "confidence" and isinstance(parameter.default, float)
    }
    assert len(defaults) >= 10
    assert {name: default for name, default in defaults.items() if default != 0.95} == {}


@pytest.mark.parametrize("name", sorted(MODULES))
def test_the_examples_of_a_module_run(name: str) -> None:
    assert doctest.testmod(MODULES[name]).failed == 0
