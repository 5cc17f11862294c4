"""Pages of the type sheets: read, compare versions, change in a draft, keep.

Shows `workshop.knowledge` and `sheets`; may import every app below the pages.
"""
