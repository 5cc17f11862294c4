"""Pure computing: one module answers one question of the trade; `faults`, `runup` and `sound` are folders of them.

Numbers in, frozen dataclasses out; SI inside, units in the names. Nothing here reads a file, a clock or a
setting, and nothing is random. May import numpy, scipy and its own siblings; never Django, never another
room.
A day is an ordinal: day 1 is 0001-01-01, as in the standard library's ``date.toordinal``.
"""
