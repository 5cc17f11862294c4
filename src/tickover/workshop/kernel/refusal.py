"""The one family of errors of actions: what a person asked for cannot be done."""

from __future__ import annotations


class RefusedError(Exception):
    """An action that is not done. The message says why and what to do, in the words of the page.

    Each app has a kind of its own, so that one can catch another's and nothing else; pages catch them all alike.
    """
