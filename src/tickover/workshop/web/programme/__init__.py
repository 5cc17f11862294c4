"""Pages of the programme: intervals and starting hours of a task, bulletins, what the owner gets.

Shows `workshop.programme`; may import every app below the pages.
"""
