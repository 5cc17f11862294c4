"""What the workshop's own records say in a fault-finding session.

Imports the queries of other apps; writes nothing.
"""
