"""Where a figure comes from, in the words of a page: general practice is said once, anything else at the figure."""

from __future__ import annotations

GENERAL = "common practice, no source"
"""The mark of a type sheet for a figure of the trade without a source."""
RULES = {"guarded": "allowing for gauge error", "simple": "as read"}
"""How a limit takes a reading, by the sheet's name of the rule."""


def source_in_words(basis: str, source: str) -> str:
    """For example "general practice", or "maker: manual, page 12"."""
    words = "general practice" if basis == GENERAL else basis
    return f"{words}: {source}" if source else words


def source_where_marked(basis: str, source: str) -> str:
    """The same; "" for general practice, which a card or page says once."""
    return "" if basis == GENERAL and not source else source_in_words(basis, source)
