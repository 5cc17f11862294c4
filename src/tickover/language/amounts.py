"""Amounts with as many digits as their unit deserves, dates and units as a person reads them."""

from __future__ import annotations

from datetime import date

from tickover.formats.text.units import printed


def hours(value: float | None) -> str:
    """Engine hours to a tenth: 112.4."""
    return "–" if value is None else f"{value:,.1f}".replace(",", " ")


def hours_fine(value: float | None) -> str:
    """Engine hours of one run, to a hundredth: 0.09."""
    return "–" if value is None else f"{value:.2f}"


def reading(value: float | None) -> str:
    """A reading as it was taken, without padding: 1.4."""
    return "–" if value is None else f"{value:.6g}"


def per_cent(value: float | None) -> str:
    """A probability in per cent, never 0 or 100 unless it is exactly that."""
    if value is None:
        return "–"
    if 0 < value < 0.01:
        return "under 1 %"
    if 0.99 < value < 1:
        return "over 99 %"
    return f"{value * 100:.0f} %"


def day(value: date | None) -> str:
    """A date a person reads: 14 Mar 2026."""
    return "–" if value is None else f"{value.day} {value:%b %Y}"


def amount(value: float | str) -> str:
    """A value of a working: words as they are, numbers without padding."""
    return value if isinstance(value, str) else reading(value)


def spread(value: float | None) -> str:
    """An uncertainty to two figures, since more would claim too much: 0.62, 1.3, 12."""
    if value is None:
        return "–"
    return f"{value:.0f}" if value >= 10 else f"{float(f'{value:.2g}'):g}"


def as_sure_as(value: float | None, expanded: float | None) -> str:
    """A value to the place its uncertainty is printed to, so that it claims no more: 7932 beside 19."""
    if value is None:
        return "–"
    places = 1 if not expanded or 1 <= expanded < 10 else 0 if expanded >= 10 else 2
    return f"{value:z.{places}f}"


def units(text: str) -> str:
    """Units of a type sheet, which is typed on any keyboard, as they are printed: N.m is N·m, deg C is °C."""
    return printed(text)


def ended(words: str) -> str:
    """Somebody's words with a full stop after them, unless they have an end of their own."""
    said = words.rstrip()
    return said if not said or said[-1] in ".!?…" else f"{said}."
