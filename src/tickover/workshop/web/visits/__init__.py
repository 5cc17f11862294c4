"""Pages of a job: the card, a step with its reading, second check, release, papers.

Shows `workshop.visits`, `readings` and `logbook`; may import every app below the pages.
"""
