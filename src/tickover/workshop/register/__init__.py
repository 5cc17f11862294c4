"""Owners, engines and their builds, engine time, and the evidence files it rests on.

Imports `people` and `kernel`.
"""
