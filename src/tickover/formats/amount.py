"""Read a measured value in the unit a person thinks in, and keep it in the unit of the sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from tickover.formats.text.number import (
    ONE_CHARACTER_FRACTIONS,
    AmbiguousNumber,
    Choice,
    ImplausibleNumber,
    NumberError,
    plainly,
    read_number,
)
from tickover.formats.text.units import alternatives, convert, printed, settled

SPELLINGS = {
    "in": ("inch", "in", '"'),
    "in-lb": ("lbf.in", "in.lbf", "lb-in", "in-lb", "in lb", "inlb"),
    "lbf": ("lbf", "lb"),
    "N.m": ("N.m", "N·m", "N m", "N*m", "Nm"),
    "min": ("minutes", "minute", "min"),
    "s": ("seconds", "second", "sec", "s"),
    "deg C": ("deg C", "degC", "°C", "C"),
    "deg F": ("deg F", "degF", "°F", "F"),
}
MOST_FIGURES = 6
ENDS_OF_A_NUMBER = frozenset("0123456789.," + ONE_CHARACTER_FRACTIONS)


@dataclass(frozen=True)
class Amount:
    """A value in the unit it was wanted in, and the unit it was typed in."""

    value: float
    typed_in: str


def read_amount(
    text: str,
    *,
    unit: str,
    name: str,
    typed_in: str = "",
    also: tuple[str, ...] = (),
    plausible: tuple[float, float] | None = None,
    limits: tuple[float | None, ...] = (),
) -> Amount:
    """Read one typed value, in `typed_in` or in the unit that is written behind it.

    Parameters
    ----------
    text, name, plausible
        As for read_number; `plausible` is in `unit`.
    unit : str
        Unit of the sheet, which the value is given back in.
    typed_in : str
        One of `alternatives(unit)` or of `also`; "" for `unit` itself.
    also : tuple of str
        Further units of the same quantity, such as that of the gauge.
    limits : tuple of float or None
        Limits in `unit`: a value that is one of them, converted, is exactly that limit.

    Raises
    ------
    NumberError, AmbiguousNumber, ImplausibleNumber
        As read_number; also for a unit that is none of the alternatives. A number that cannot be in the unit that
        was left on but can in another asks whether that was meant.

    Examples
    --------
    >>> read_amount("0,055", unit="mm", typed_in="in", name="Lever height")
    Amount(value=1.397, typed_in='in')
    """
    chosen, offered = typed_in or unit, (*alternatives(unit), *also)
    if chosen not in offered:
        raise NumberError(
            f'{name}: "{chosen[:20]}" is not a unit it is read in. Choose {" or ".join(offered)}.'
        )
    digits, written = _parted(text, offered)
    between = None if plausible is None else _about(plausible, unit, written or chosen)
    try:
        number = read_number(digits, unit=written or chosen, plausible=between, name=name)
    except AmbiguousNumber as error:
        raise _with_unit(error, written) from error
    except ImplausibleNumber as error:
        raise error if written else _asked_in_another(error, unit, chosen, offered, plausible) from error
    return Amount(settled(convert(number, written or chosen, unit), *limits), written or chosen)


def written_unit(text: str, unit: str, also: tuple[str, ...] = ()) -> str:
    """The unit that is written behind a number, "" for none."""
    return _parted(text, (*alternatives(unit), *also))[1]


def in_both(typed: str, typed_in: str, value: float, unit: str) -> str:
    """What was typed and what it is in another unit, one figure finer.

    Examples
    --------
    >>> in_both("0,5", "psi", 0.0344738, "bar"), in_both("365 F", "deg F", 185.0, "deg C")
    ('0,5 psi = 0.034 bar', '365 °F = 185 °C')
    """
    digits = _parted(typed, (typed_in,))[0]
    figures = len("".join(c for c in digits if c.isdigit()).lstrip("0"))
    shown = f"{value:.{min(max(2, figures + 1), MOST_FIGURES)}g}"
    return printed(f"{digits} {typed_in} = {Decimal(shown):f} {unit}")


def unit_that_fits(given: str, offered: Iterable[str], fits: Callable[[str], bool]) -> str:
    """The unit that was probably meant where a number cannot be in the one `given`; "" for none.

    Whether it was meant is asked, never taken for granted.
    """
    return next((other for other in offered if other != given and fits(other)), "")


def meant_in(number: str, other: str, value: float, unit: str) -> Choice:
    """The number in the unit that was probably meant, with what it is in the unit it is wanted in."""
    inside = "" if other == unit else f" ({value:.4g} {unit})"
    return Choice(f"{number} {other}", printed(f"{number} {other}{inside}"))


def _with_unit(error: AmbiguousNumber, written: str) -> AmbiguousNumber:
    """Both readings with the unit that was written behind the number, so that it is not lost."""
    choices = tuple(
        Choice(f"{c.text} {written}".rstrip(), printed(f"{c.words} {written}").rstrip())
        for c in error.choices
    )
    return AmbiguousNumber(str(error), error.values, choices, error.typed)


def _asked_in_another(
    error: ImplausibleNumber,
    unit: str,
    chosen: str,
    offered: tuple[str, ...],
    plausible: tuple[float, float] | None,
) -> ImplausibleNumber:
    """The same refusal, asking for another unit where the number is plausible in that."""
    assert plausible is not None
    lower, upper = plausible
    other = unit_that_fits(chosen, offered, lambda o: lower <= convert(error.value, o, unit) <= upper)
    if not other:
        return error
    choices = [meant_in(f"{error.value:.10g}", other, convert(error.value, other, unit), unit)]
    if error.meant is not None:  # a lost decimal mark is as likely as a wrong unit
        choices.append(meant_in(f"{error.meant:.10g}", chosen, error.meant, chosen))
    asked = ", or ".join(choice.words for choice in choices)
    far = f"{error.value:.10g} {chosen} is far from anything this gauge can find here"
    return ImplausibleNumber(
        printed(f"{far} ({lower:g} to {upper:g} {unit}).")
        + f" Did you mean {asked}? Choose it, or confirm what you typed.",
        error.value,
        error.meant,
        tuple(choices),
    )


def _parted(text: str, offered: tuple[str, ...]) -> tuple[str, str]:
    """What was typed without the unit behind it, and that unit, "" for none."""
    typed = plainly(text)
    for name, spelling in _spellings(offered):
        digits = typed[: -len(spelling)].rstrip()
        if typed.casefold().endswith(spelling.casefold()) and digits[-1:] in ENDS_OF_A_NUMBER:
            return digits, name
    return text, ""


def _spellings(offered: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for name in offered:
        yield from ((name, spelling) for spelling in SPELLINGS.get(name, (name,)) if spelling)


def _about(span: tuple[float, float], unit: str, other: str) -> tuple[float, float]:
    if unit == other:
        return span
    lower, upper = (float(f"{convert(x, unit, other):.4g}") for x in span)
    return lower, upper
