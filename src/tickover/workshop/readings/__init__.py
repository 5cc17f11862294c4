"""Readings: their fields, how they are parsed, computed and judged. Writes are in `visits`."""
