"""Minutes on the bench: a clock for a visit that a thumb starts and stops, or minutes typed at the end.

Imports the visit it is of. What was worked goes into the next estimates.
"""
