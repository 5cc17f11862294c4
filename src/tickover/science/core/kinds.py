"""Is what is given of the kind that is asked for: a number, a word, a needle, a row of readings?

Read off the annotations of a function or a dataclass. A number is neither True nor text; an array has numbers in
it. What is `ArrayLike` is left to `valid.checked`, and so are all ranges, NaN and infinity among them.
"""

from __future__ import annotations

import dataclasses
import enum
import inspect
import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, wraps
from typing import Any, Literal, ParamSpec, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np

from tickover.science.core.input_checks import OutOfRangeError, called, short

__all__ = ["checked_fields", "kinds_checked"]

P = ParamSpec("P")
R = TypeVar("R")
FITS = object()
"""What a kind says of a value that is of it."""
PLAIN = frozenset({str, int, float, bool, type(None), tuple, list, dict, np.ndarray, np.float64})
"""Types that most values have and of which none can be gone through only once; asking an ABC takes far longer."""
ARRAYS = {"f": "iuf", "i": "iu", "b": "b"}
"""Kinds of numbers that an array of floats, of whole numbers and of True and False may be given as."""


@dataclasses.dataclass(frozen=True)
class Kind:
    """What is asked for, in words, and what of a value does not fit: the part that is wrong, or FITS."""

    words: str
    wrong: Callable[[Any], Any]


def kinds_checked(function: Callable[P, R]) -> Callable[P, R]:
    """The function, refusing arguments that are not of the kind that its annotations ask for, as OutOfRangeError."""

    @wraps(function)
    def refusing(*given: P.args, **named: P.kwargs) -> R:
        names, kinds = _asked(function)
        held = [_fitting(name, kinds.get(name), value) for name, value in zip(names, given, strict=False)]
        by_name = {name: _fitting(name, kinds.get(name), value) for name, value in named.items()}
        return function(*held, *given[len(names) :], **by_name)  # type: ignore[arg-type]

    return refusing


def checked_fields(made: Any) -> None:
    """Refuse a dataclass of which a field is not of its kind; for `__post_init__`."""
    which: Any = type(made)
    for name, kind in _fields(which).items():
        _fitting(name, kind, getattr(made, name))


def _fitting(name: str, kind: Kind | None, value: Any) -> Any:
    """The value, if it is of the kind; what can be gone through only once is kept."""
    if kind is None:
        return value
    held = tuple(value) if type(value) not in PLAIN and isinstance(value, Iterator) else value
    wrong = kind.wrong(held)
    if wrong is FITS:
        return held
    raise OutOfRangeError(f"{name.replace('_', ' ')} must be {kind.words}; got {short(wrong)}")


@cache
def _asked(function: Callable[..., Any]) -> tuple[list[str], dict[str, Kind]]:
    return list(inspect.signature(function).parameters), _kinds(function)


@cache
def _fields(made: Any) -> dict[str, Kind]:
    initial = {field.name for field in dataclasses.fields(made) if field.init}
    return {name: kind for name, kind in _kinds(made).items() if name in initial}


def _kinds(asking: Any) -> dict[str, Kind]:
    left = [name for name, text in asking.__annotations__.items() if "ArrayLike" in str(text)]
    hints = get_type_hints(asking)
    return {n: _kind(hint) for n, hint in hints.items() if n not in ("return", *left)}


def _kind(hint: Any) -> Kind:
    origin, inner = get_origin(hint), get_args(hint)
    if hint in SIMPLE:
        return SIMPLE[hint]
    if origin in (Union, types.UnionType):
        return _either([_kind(one) for one in inner])
    if origin is Literal:
        return Kind(f"one of {', '.join(map(str, inner))}", lambda v: FITS if v in inner else v)
    if origin is np.ndarray:
        return _array(inner)
    if origin is tuple and inner[-1] is not Ellipsis:
        return _fixed([_kind(one) for one in inner])
    if inspect.isclass(origin) and issubclass(origin, Mapping):
        return _table(_kind(inner[0]), _kind(inner[1]))
    if inspect.isclass(origin) and issubclass(origin, Iterable):
        return _row(_kind(inner[0]))
    if origin is Callable:
        return Kind("a function", lambda v: FITS if callable(v) else v)
    if getattr(hint, "_is_protocol", False):
        return _alike(hint)
    if inspect.isclass(hint):
        return Kind(called(hint), lambda v: FITS if isinstance(v, hint) else v)
    return Kind("anything", lambda _: FITS)


def _number(value: Any) -> Any:
    fits = isinstance(value, int | float | np.integer | np.floating) and not isinstance(value, bool)
    return FITS if fits else value


def _whole(value: Any) -> Any:
    return FITS if isinstance(value, int | np.integer) and not isinstance(value, bool | enum.Enum) else value


SIMPLE = {
    float: Kind("a number", _number),
    int: Kind("a whole number", _whole),
    bool: Kind("True or False", lambda v: FITS if isinstance(v, bool | np.bool_) else v),
    str: Kind("text", lambda v: FITS if isinstance(v, str) else v),
    type(None): Kind("None", lambda v: FITS if v is None else v),
}


def _alike(protocol: type) -> Kind:
    """What has all that the protocol asks for; `isinstance` would take ten times as long."""
    names = [name for name in vars(protocol) if not name.startswith("_")]
    words = f"{called(protocol)} with {', '.join(names)}"
    return Kind(words, lambda v: FITS if all(hasattr(v, name) for name in names) else v)


def _either(kinds: Sequence[Kind]) -> Kind:
    def wrong(value: Any) -> Any:
        found = [kind.wrong(value) for kind in kinds]
        return FITS if any(one is FITS for one in found) else value

    return Kind(" or ".join(kind.words for kind in kinds), wrong)


def _array(inner: tuple[Any, ...]) -> Kind:
    asked = np.dtype(get_args(inner[1])[0]).kind if get_args(inner[1]) else "f"
    may_be = ARRAYS.get(asked, asked)
    words = "an array of True and False" if asked == "b" else "an array of numbers"
    return Kind(words, lambda v: FITS if isinstance(v, np.ndarray) and v.dtype.kind in may_be else v)


def _row(inner: Kind) -> Kind:
    def wrong(value: Any) -> Any:
        plain = type(value) in (tuple, list)
        if not plain and (isinstance(value, str | bytes | Mapping) or not isinstance(value, Iterable)):
            return value
        return next((part for one in value if (part := inner.wrong(one)) is not FITS), FITS)

    return Kind(f"a row, each of it {inner.words}", wrong)


def _fixed(inner: Sequence[Kind]) -> Kind:
    def wrong(value: Any) -> Any:
        if not isinstance(value, tuple | list) or len(value) != len(inner):
            return value
        found = (kind.wrong(one) for kind, one in zip(inner, value, strict=True))
        return next((part for part in found if part is not FITS), FITS)

    return Kind(f"{len(inner)} together, {', '.join(dict.fromkeys(kind.words for kind in inner))}", wrong)


def _table(key: Kind, inner: Kind) -> Kind:
    def wrong(value: Any) -> Any:
        if not isinstance(value, Mapping):
            return value
        for name, one in value.items():
            if key.wrong(name) is not FITS:
                return name
            if inner.wrong(one) is not FITS:
                return {name: one}
        return FITS

    return Kind(f"a table, {key.words} to {inner.words}", wrong)
