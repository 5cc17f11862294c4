"""Bench hours of the weeks ahead, and which tasks go into one visit.

Imports `programme`, `science.planning` and `pictures`; writes nothing.
"""
