"""Pages of the instruments: the list, one instrument, calibration, loan.

Shows `workshop.instruments`; may import every app below the pages.
"""
