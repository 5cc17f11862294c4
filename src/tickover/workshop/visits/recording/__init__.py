"""Writes of a job: readings, exceedances, added tasks, pause and hand-over. `visits.actions` gathers them.

Imports the job's models, steps and lock.
"""
