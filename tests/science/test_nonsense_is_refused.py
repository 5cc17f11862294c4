"""Every public function of science, each argument of it bent: a finite answer or our own refusal, nothing else."""

from __future__ import annotations

import dataclasses
import enum
import inspect
import warnings
from collections.abc import Hashable, Iterator, Mapping
from typing import Any

import numpy as np
import pytest

from tests.science.good_calls import GOOD, Good
from tests.science.public_functions import public
from tickover.science.core.input_checks import Refused
from tickover.science.core.working import Working

PUBLIC = public()
POSITIONAL = ("run_up.measuring.trace.Trace.u_at",)
NOT_NUMBERS = ("no", "", None, True, [], {}, (), 1 + 2j, object())
NUMBERS = (np.nan, np.inf, -np.inf, 0.0, -1.0, -1e9, 1e9)
FACTORS = (1_000.0, -1.0, 1e-3, 1e-6, 0.0)
BUILT = (
    "Normal", "Span", "BenchWeek", "DueTask", "EngineNow", "Thing", "Flown", "Rates", "Interval", "Done", "Metering",
    "Point", "Reading", "AirOfTheDay", "Setting", "Venturi", "Premix", "Fuel", "Needle", "Needles", "Unsure", "Source",
    "Thresholds", "Channel", "Noted", "Against", "Season", "SoundSettings", "Usage", "Outlook", "Evidence", "Bench",
    "Choices", "Look", "Grades", "Rate",
)  # fmt: skip
"""What a caller builds himself: its fields are bent as arguments are."""


def test_every_public_function_has_a_good_call() -> None:
    assert sorted(PUBLIC) == sorted(GOOD)


@pytest.mark.parametrize("name", GOOD)
def test_a_good_call_names_every_argument_and_gives_an_answer(name: str) -> None:
    asked = [n for n in inspect.signature(PUBLIC[name]).parameters if n not in ("self", "cls")]
    assert sorted(GOOD[name].call) == sorted(asked)
    unsound = list(not_finite(called(name, GOOD[name].call), GOOD[name].unbounded))
    assert not unsound, unsound


@pytest.mark.parametrize("name", GOOD)
def test_bent_arguments_are_refused_or_answered(name: str) -> None:
    wrong = []
    for argument, bent in all_bent(GOOD[name]):
        try:
            call = {**GOOD[name].call, argument: bent()}
            answer = called(name, call)
        except Refused as refusal:
            if len(str(refusal)) < 10:
                wrong.append(f"{argument}: says only {refusal}")
            continue
        except Exception as error:  # anything else is what this test is here to find
            wrong.append(f"{argument}={shown(bent)}: {type(error).__name__}: {error}"[:200])
            continue
        if unsound := list(not_finite(answer, GOOD[name].unbounded)):
            wrong.append(f"{argument}={shown(bent)}: answers {unsound[0]}"[:200])
    assert not wrong, "\n" + "\n".join(wrong)


def called(name: str, call: Mapping[str, Any]) -> Any:
    """What a function answers, warnings being errors."""
    of = GOOD[name].of
    function = PUBLIC[name] if of is None else getattr(of, name.rsplit(".", 1)[1])
    if name == "sound.track.SoundTracker.feed":
        function = type(of)(8_000.0).feed
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        answer = function(*call.values()) if name in POSITIONAL else function(**call)
        return tuple(answer) if isinstance(answer, Iterator) else answer


def all_bent(good: Good) -> Iterator[tuple[str, Any]]:
    """Each argument in turn, bent in every way; made when it is called, since building it may refuse."""
    for argument, value in good.call.items():
        for bent in ways(value, fewer=good.fewer):
            yield argument, bent


def ways(value: Any, *, fewer: bool) -> Iterator[Any]:
    """Callables that give the value bent; `fewer` where a call takes its time."""
    for other in NOT_NUMBERS:
        if type(other) is not type(value) or not isinstance(value, bool | str) or other != value:
            yield lambda other=other: other
    if isinstance(value, bool | str):
        yield from (lambda other=other: other for other in (np.nan, 0, 1))
    elif isinstance(value, int | float | np.ndarray) or _is_numbers(value):
        yield from numbers(value, fewer=fewer)
    elif dataclasses.is_dataclass(value) and type(value).__name__ in BUILT:
        yield from fields(value, fewer=fewer)
    elif isinstance(value, Mapping):
        yield from members(value, fewer=fewer)
    elif isinstance(value, tuple | list | frozenset):
        yield from places(value, fewer=fewer)
    elif callable(value):
        yield lambda: lambda *_: np.nan
        yield lambda: lambda *_: "no"


def _is_numbers(value: Any) -> bool:
    return (
        isinstance(value, list | tuple)
        and bool(value)
        and np.asarray(value, dtype=object).dtype == object
        and all(isinstance(one, int | float) or _is_numbers(one) for one in value)
    )


def numbers(value: Any, *, fewer: bool) -> Iterator[Any]:
    array = np.asarray(value)
    for factor in FACTORS:
        yield lambda factor=factor: like(value, array * factor)
    for other in NUMBERS[:3] if fewer else NUMBERS:
        yield lambda other=other: like(value, np.full(array.shape, other))
        if array.size > 1 and not fewer:
            yield lambda other=other: like(
                value, np.where(np.arange(array.size).reshape(array.shape) == 1, other, array)
            )
    yield lambda: np.full((2, 3), array.flat[0])
    yield lambda: np.full((2, 3, 2), array.flat[0])
    yield lambda: np.full(7, array.flat[0])
    if array.size > 1:
        yield lambda: array.ravel()[:-1]
        yield lambda: array.flat[0]
    if isinstance(value, int):
        yield lambda: value + 0.5


def like(value: Any, array: Any) -> Any:
    """In the form of the value: a number stays a number, a whole one whole where it can."""
    if isinstance(value, int | float):
        one = array.reshape(-1)[0].item()
        whole = isinstance(value, int) and isinstance(one, float) and one == one and abs(one) < 1e15
        return int(one) if whole and one == int(one) else one
    if isinstance(value, tuple):
        return tuple(array.tolist())
    return array.tolist() if isinstance(value, list) else array


def fields(value: Any, *, fewer: bool) -> Iterator[Any]:
    for field in dataclasses.fields(value):
        if field.init:
            for bent in ways(getattr(value, field.name), fewer=fewer):
                yield lambda name=field.name, bent=bent: dataclasses.replace(value, **{name: bent()})


def members(value: Mapping[Any, Any], *, fewer: bool) -> Iterator[Any]:
    key = next(iter(value))
    for bent in ways(value[key], fewer=fewer):
        yield lambda bent=bent: {**value, key: bent()}
    yield lambda: {**value, 7: value[key]}
    yield lambda: {**value, "no such thing": value[key]}


def places(value: Any, *, fewer: bool) -> Iterator[Any]:
    for place, one in enumerate(tuple(value)[:2]):
        for bent in ways(one, fewer=fewer):
            if not isinstance(value, frozenset) or isinstance(bent(), Hashable):
                yield lambda place=place, bent=bent: put(value, place, bent())
    yield lambda: value[:1] if not isinstance(value, frozenset) else value


def put(value: Any, place: int, other: Any) -> Any:
    held = list(value)
    held[place] = other
    return type(value)(*held) if hasattr(value, "_fields") else type(value)(held)


def not_finite(answer: Any, unbounded: frozenset[str], where: str = "answer") -> Iterator[str]:
    """Places of an answer that hold no finite number."""
    if where.rsplit(".", 1)[-1].split("[")[0] in unbounded:
        return
    if isinstance(answer, np.ndarray | float | complex | np.generic):
        if np.asarray(answer).dtype.kind in "fc" and not np.all(np.isfinite(answer)):
            yield f"{where} = {answer}"
    elif isinstance(answer, enum.Enum | Working):
        return
    elif dataclasses.is_dataclass(answer):
        for name in parts(answer):
            try:
                part = getattr(answer, name)
            except Refused:
                continue
            yield from not_finite(part, unbounded, f"{where}.{name}")
    elif isinstance(answer, Mapping):
        for key, part in answer.items():
            yield from not_finite(part, unbounded, f"{where}[{key!r}]")
    elif isinstance(answer, tuple | list):
        for place, part in enumerate(answer):
            yield from not_finite(part, unbounded, f"{where}[{place}]")


def parts(answer: Any) -> list[str]:
    """Fields, and properties but those that only show."""
    shown = [name for name, kind in inspect.getmembers(type(answer)) if isinstance(kind, property)]
    return [field.name for field in dataclasses.fields(answer)] + [n for n in shown if not n.startswith("_")]


def shown(bent: Any) -> str:
    try:
        return repr(bent())[:120]
    except Exception as error:  # building it is what went wrong, and is told by itself
        return f"<{type(error).__name__} on building>"
