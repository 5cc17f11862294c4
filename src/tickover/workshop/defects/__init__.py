"""Deferred defects: what may wait, until when, why, and who accepted it; and the job that put it right.

Imports `visits` and what lies below. What it has against a release, and which findings it put off, it registers with
`visits` when the program starts (`apps.py`).
"""
