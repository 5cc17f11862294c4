"""Readings: their fields, how they are parsed, computed and judged. Writes are in `visits`.

Imports `science`, `formats`, `sheets` and `instruments`.
"""
