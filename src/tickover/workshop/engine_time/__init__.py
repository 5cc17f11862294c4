"""Engine time of each engine: the logs, meters and typed entries that it comes from.

Imports `register`, `people` and `kernel`.
"""
