"""What falls due on each engine, by hours or by the calendar, and when that will be.

Imports `components`, `engine_time`, `register`, `people` and `kernel`.
"""
