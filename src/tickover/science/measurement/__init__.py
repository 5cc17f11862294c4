"""What a reading is worth: conformity decisions, guard bands, repeated readings, propagation, outliers, gauge studies.

Imports `core` only.
"""
