"""How the workshop is served: the server, what a request may send, outages in words, files for their owner alone.

Imports nothing else of the workshop.
"""
