"""The air an engine breathes: standard atmosphere, altitudes, moist air, dew point, static and power correction.

Imports `core` only.
"""
