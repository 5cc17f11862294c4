"""Papers and records of an engine: work card, release, hand-back, logbook, component card, transfer bundle.

Imports the queries of the apps below and `papers`; writes nothing but the journal entry of a paper.
"""
