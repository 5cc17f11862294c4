"""Files of engine loggers: tables to channels of rpm and temperature over time.

Imports `formats.text` and the IGC reader; knows nothing of run-ups.
"""
