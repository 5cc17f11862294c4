"""The workshop's measuring instruments: uncertainty, calibration, where each is.

Imports `people` and `kernel`.
"""
