"""Pages of a fault-finding session: start, answers, records, end, paper.

Shows `workshop.fault_finding`; may import every app below the pages.
"""
