"""Calculations of the bench: their fields, units, working.

Imports `science`, `formats`, `sheets`, `pictures` and the queries of `register` and `visits`; has no tables.
"""
