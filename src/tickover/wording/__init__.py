"""How numbers, dates and units are printed.

Imports `formats.text`; nothing of the workshop.
"""
