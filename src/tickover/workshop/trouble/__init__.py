"""Fault-finding sessions: what was looked at on an engine in trouble, what it makes likely, and how it ended.

May import `science`, `sheets`, and the queries and actions of `register`, `programme`, `bench`, `photos` and `runs`.
"""
