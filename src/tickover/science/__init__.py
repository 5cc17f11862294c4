"""Pure computing: a folder is a topic of the trade, a module answers one question of it.

Numbers in, frozen dataclasses out; SI inside, units in the names. Nothing here reads a file, a clock or a
setting, and nothing is random. May import numpy, scipy and its own siblings; never Django, never another
room.
How sure a figure is: `standard_uncertainty` in the unit of the one value it belongs to, `u_WHAT_UNIT` among several,
`expanded_uncertainty` for two standard ones, `sd` for the scatter of many things; never with a default of zero.
A day is an ordinal: day 1 is 0001-01-01, as in the standard library's ``date.toordinal``.
"""
