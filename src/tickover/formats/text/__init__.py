"""Text as people and programs write it: numbers, times, units, delimited lines.

Imports the errors and file types of `formats`, and pint.
"""
