"""Photos of what was found: opened safely, without their position, kept by SHA-256 with their subject.

Imports `register`, `people` and `kernel`, and names subjects by text, so that every place above may use it.
"""
