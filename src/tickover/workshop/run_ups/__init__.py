"""Run-ups: recordings taken apart, judged, compared; the tuning card.

Imports `visits`, `register`, `people` and `kernel`; registers its check with `visits.release_checks`.
"""
