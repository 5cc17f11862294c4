"""Run-ups: recordings taken apart, judged, compared; the tuning card.

Imports `visits`, `register`, `people` and `kernel`; registers its check with `visits.releasing.release_checks`.
"""
