"""How long an engine ran: from a flight log's channels or its speed, several sources reconciled.

Imports `core` only.
"""
