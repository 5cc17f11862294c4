"""Work on an engine: its cards and steps, second checks, release.

Imports `readings`, `programme` and what lies below. Those above register what they have against a release.
"""
