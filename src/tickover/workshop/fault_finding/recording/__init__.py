"""Writes in a running session: answers taken from records, photos of a finding, the end and the cure.

Imports the session's models, queries and its lock; `fault_finding.actions` begins a session and takes typed answers.
"""
