"""Photos of what was found: opened safely, without their position, kept by SHA-256 beside their subject.

Models, queries and actions import `register`, `journal` and `people` alone and name subjects by text, so that
every place may use them; `present` asks those places whether a subject is there.
"""
