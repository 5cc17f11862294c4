"""The page Weeks: bench hours ahead, and which tasks suit one visit.

Shows `workshop.programme.workload`; may import every app below the pages.
"""
