"""Bytes or text in, arrays and numbers out, with the line and the field in every error.

One module for each format. May import `tickover.science`, NumPy and the standard library; knows
nothing of sheets, records or pages. Everything raised here is a `FormatError`.
"""
