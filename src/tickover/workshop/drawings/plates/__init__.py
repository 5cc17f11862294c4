"""The plates: one drawing for a kind of work or a place to measure, the same for every card that does it.

A limit or an act of the type sheet names its plate; the figures in it are the limits the sheet gives it. A plate
knows shapes and no figures. May import what `drawings` may.
"""
