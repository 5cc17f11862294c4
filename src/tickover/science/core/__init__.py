"""What every calculation needs: results that carry their working, input checks, arrays, decimals, day ordinals.

Imports nothing else of `science`.
"""
