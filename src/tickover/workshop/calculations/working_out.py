"""Work a sum out from what was typed: the answer with the intervals that the uncertain fields leave open.

Each uncertain field is moved by its half width to both sides, the others left alone, and what that does to each
result is added in squares (JCGM 100:2008, 5.1.2 and 5.1.3, note 2; inputs independent, first order).
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.workshop.calculations import units
from tickover.workshop.calculations.calculation import (
    TAKE,
    Calculation,
    CalculationAnswer,
    Field,
    Result,
    Value,
)
from tickover.workshop.calculations.typed_fields import Typed, read_fields

NO_BREAK = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class WorkedOut:
    """A sum with its fields as typed, and its answer or what was refused: field -> sentence, "" for the whole."""

    sum: Calculation
    typed: Mapping[str, Typed]
    refused: Mapping[str, str]
    answer: CalculationAnswer | None = None
    picture: str = ""

    @property
    def sentences(self) -> tuple[str, ...]:
        """The answer in words, numbers with their units and intervals."""
        if self.answer is None:
            return ()
        shown_of = {result.id: shown(result, result.unit) for result in self.answer.results}
        return tuple(sentence.format(**shown_of) for sentence in self.answer.sentences)

    @property
    def cautions(self) -> tuple[str, ...]:
        return (*self.sum.cautions, *(self.answer.cautions if self.answer else ()))


def work_out(
    asked: Calculation,
    given: Mapping[str, str],
    known: Mapping[str, str] | None = None,
    *,
    draw: bool = False,
) -> WorkedOut:
    """The answer to a sum from typed values, or what was wrong with them; it never raises for bad input."""
    typed = read_fields(asked, given, known)
    refused = {name: one.refused for name, one in typed.items() if one.refused}
    if refused:
        return WorkedOut(asked, typed, refused)
    values = {name: one.value for name, one in typed.items()}
    values |= {name + TAKE: one.half for name, one in typed.items()}
    try:
        with warnings.catch_warnings():
            # A sum may pass through an infinite step on its way; its results are looked at below.
            warnings.simplefilter("ignore", RuntimeWarning)
            answer = _finite(asked.compute(values))
            assumed = _assumed(asked, values, typed, answer)
            answer = _with_intervals(asked, values, typed, answer)
            answer = replace(answer, sentences=(*answer.sentences, *assumed))
            answer = asked.conclude(answer) if asked.conclude else answer
            picture = asked.picture(values) if draw and asked.picture else ""
    except (OutOfRangeError, InsufficientDataError) as refusal:
        return WorkedOut(asked, typed, {_field_of(asked, str(refusal)): _sentence(str(refusal))})
    return WorkedOut(asked, typed, {}, answer, picture)


def shown(result: Result, unit: str) -> str:
    """A result in words, in one of its units: "1.184 kg/m3 (1.178 to 1.190)"."""
    value, lower, upper = (
        None if x is None else units.convert(x, result.unit, unit)
        for x in (result.value, result.lower, result.upper)
    )
    assert value is not None
    if lower is None or upper is None or not 0.0 < upper - lower < math.inf:
        return _with_unit(plain(value, result.digits), unit)
    decimals = max(0, 1 - math.floor(math.log10((upper - lower) / 2)))
    middle, low, high = (plain(x, decimals=decimals) for x in (value, lower, upper))
    return f"{_with_unit(middle, unit)} ({low} to {high})"


def in_every_unit(result: Result) -> tuple[str, ...]:
    """A result in its own unit first, then in the others it is told in."""
    return tuple(shown(result, unit) for unit in (result.unit, *result.also))


def plain(value: float, digits: int = 4, decimals: int | None = None) -> str:
    """A number to some figures, never with an exponent."""
    if decimals is None:
        decimals = max(0, digits - 1 - math.floor(math.log10(abs(value)))) if value else 0
    text = f"{round(value, decimals) + 0.0:,.{min(decimals, 8)}f}".replace(",", " ")
    return text.replace("-", "\N{MINUS SIGN}")


def _with_unit(number: str, unit: str) -> str:
    if unit == "°":
        return number + unit
    return f"{number}{NO_BREAK}{units.shown(unit)}".strip(NO_BREAK)


def _finite(answer: CalculationAnswer) -> CalculationAnswer:
    for result in answer.results:
        if not math.isfinite(result.value):
            raise OutOfRangeError(f"{result.name} cannot be computed from these values. Check them")
    return answer


def _with_intervals(
    asked: Calculation, values: Mapping[str, Value], typed: Mapping[str, Typed], answer: CalculationAnswer
) -> CalculationAnswer:
    squares = dict.fromkeys((result.id for result in answer.results), 0.0)
    for field in asked.fields:
        half = 0.0 if field.taken_in else typed[field.name].half
        for name, moved in _moved(asked, values, field, half, answer).items() if half else ():
            squares[name] += moved**2
    results = (
        result.widened(math.sqrt(squares[result.id])) if squares[result.id] else result
        for result in answer.results
    )
    return replace(answer, results=tuple(results))


def _assumed(
    asked: Calculation, values: Mapping[str, Value], typed: Mapping[str, Typed], answer: CalculationAnswer
) -> tuple[str, ...]:
    """What was taken for fields left blank, and how far that moves the first result to both sides."""
    first, found = answer.results[0], []
    for field in asked.fields:
        if field.assumed and not typed[field.name].text.strip():
            moved = abs(_moved(asked, values, field, field.assumed.half, answer).get(first.id, 0.0))
            by = _with_unit(plain(moved, 2), first.unit)
            found.append(f"{field.label} is not given: {field.assumed.words}. {first.name}: ± {by} by that.")
    return tuple(words.replace("{", "{{").replace("}", "}}") for words in found)


def _moved(
    asked: Calculation, values: Mapping[str, Value], field: Field, half: float, answer: CalculationAnswer
) -> dict[str, float]:
    """What half a width of one field does to each result, by its slope between the ends that can be."""
    middle = values[field.name]
    if not isinstance(middle, int | float):
        return {}
    here = {result.id: result.value for result in answer.results}
    ends = [min(max(middle + shift, field.lower), field.upper) for shift in (-half, half)]
    found = [(end, _results_at(asked, values, field, end)) for end in ends]
    (low, below), (high, above) = ((end, there) if there else (middle, here) for end, there in found)
    if high <= low:
        return {}
    return {name: (above.get(name, x) - below.get(name, x)) * half / (high - low) for name, x in here.items()}


def _results_at(
    asked: Calculation, values: Mapping[str, Value], field: Field, value: float
) -> dict[str, float] | None:
    """Every result with one field at another value; None where the sum does not hold there."""
    try:
        answer = asked.compute({**values, field.name: value})
    except (OutOfRangeError, InsufficientDataError):
        return None
    return {result.id: result.value for result in answer.results if math.isfinite(result.value)}


def _field_of(asked: Calculation, sentence: str) -> str:
    """The field that a refusal of the science is about; "" where it names none."""
    for field in asked.fields:
        for name in (*field.called, field.label):
            if sentence.casefold().startswith(name.casefold()):
                return field.name
    return ""


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
