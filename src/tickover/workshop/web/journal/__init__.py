"""Pages of the journal: its entries, newest first, and one entry.

Shows `workshop.kernel`; may import every app below the pages.
"""
