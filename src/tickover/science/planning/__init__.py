"""What is due when, and how visits and weeks are planned: due rule, usage, season, forecast, access, schedule.

Imports `core` only.
"""
