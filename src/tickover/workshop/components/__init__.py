"""Components with a time of their own: fitted, removed, swapped, overhauled.

Imports `engine_time`, `register`, `people` and `kernel`.
"""
