"""Whether the book is whole: verify, backup, restore.

Imports `register`, `serving` and `kernel`, and asks Django for the tables of all others.
"""
