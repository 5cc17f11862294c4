"""Fault finding: sessions, answers, what is likely, what to check next.

Imports `visits`, `run_ups`, `engine_time`, `photos` and what lies below.
"""
