"""Calculations of the bench: their fields, units, working."""
