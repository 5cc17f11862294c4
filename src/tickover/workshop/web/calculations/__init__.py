"""Pages of calculations: the list, one with its working, its data form.

Shows `workshop.calculations`; may import every app below the pages.
"""
