"""Pages of deferred defects: defer, extend, put right.

Shows `workshop.defects` and `visits`; may import every app below the pages.
"""
