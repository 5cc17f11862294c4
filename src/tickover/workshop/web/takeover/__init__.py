"""Pages of a takeover: add an engine, and the table of what its old logbook says.

Shows `workshop.takeover`; may import every app below the pages.
"""
