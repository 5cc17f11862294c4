"""The page Today: what is due now and soon, on every engine.

Shows `workshop.programme`, `visits` and `defects`; may import every app below the pages.
"""
