"""Who works here: sign-in, roles, and the one helper that decides what a person may do.

Imports `kernel`.
"""
