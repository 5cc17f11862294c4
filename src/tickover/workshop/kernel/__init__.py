"""The ground floor: the journal's chain and its entries, and evidence files on disk.

Imports no other app of the workshop.
"""
