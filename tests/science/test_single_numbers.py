"""A single number into science gives a single number out, never an array without dimensions."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest

from tests.science.public_functions import public
from tests.science.test_nonsense_is_refused import called
from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import checked
from tickover.science.core.shapes import one_or_many

DEEPEST = 4


def without_dimensions(answer: Any, path: str, depth: int = 0) -> Iterator[str]:
    """Places of an answer, its properties among them, that hold an array without dimensions."""
    if isinstance(answer, np.ndarray) and answer.ndim == 0:
        yield path
    parts: Iterator[tuple[str, Any]] = iter(())
    if dataclasses.is_dataclass(answer):
        names = [field.name for field in dataclasses.fields(answer)]
        names += [name for name, value in vars(type(answer)).items() if isinstance(value, property)]
        parts = ((name, getattr(answer, name, None)) for name in names)
    elif isinstance(answer, tuple | list):
        parts = ((str(number), value) for number, value in enumerate(answer))
    elif isinstance(answer, Mapping):
        parts = ((str(name), value) for name, value in answer.items())
    for name, part in parts if depth < DEEPEST else ():
        yield from without_dimensions(part, f"{path}.{name}", depth + 1)


def test_no_public_function_answers_a_number_with_an_array_without_dimensions() -> None:
    from tests.science.good_calls import GOOD

    found = [place for name in public() for place in without_dimensions(called(name, GOOD[name].call), name)]
    assert found == []


@pytest.mark.parametrize("value", [2.5, np.float32(2.5), np.array(2.5)])
def test_a_number_of_any_kind_comes_out_as_a_float(value: Any) -> None:
    assert type(one_or_many(checked("lift", value, 0.0, 3.0))) is np.float64
    assert isinstance(broadcast(checked("lift", value, 0.0, 3.0))[0], float)
    assert checked("lift", [value], 0.0, 3.0).shape == (1,)
