"""Pages of run-ups: hand in a file, one run-up, two compared, the tuning card.

Shows `workshop.run_ups`; may import every app below the pages.
"""
