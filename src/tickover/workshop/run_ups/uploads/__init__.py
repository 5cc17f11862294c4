"""A run-up's file: kept as it came, read as a log or listened to as a recording, held while a question is open.

Imports `formats`, `science` and the kernel; nothing of the other files of run-ups.
"""
