"""Tables that people keep in spreadsheets: pasted rows and files, and which of their columns is which.

Imports `formats.text` and `formats.errors`.
"""
