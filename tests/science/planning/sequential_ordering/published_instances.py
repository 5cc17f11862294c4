"""Instances of the sequential ordering problem with their published optimum; -1: the column's node comes first.

Source: TSPLIB 95 (G. Reinelt, ORSA Journal on Computing 3 (1991) 376), matrices of N. Ascheuer and L. Escudero as
stored in public copies.
"""

from __future__ import annotations

ESC07 = """
0 0 0 0 0 0 0 0 1000000
-1 0 100 200 75 0 300 100 0
-1 400 0 500 325 400 600 0 0
-1 700 800 0 550 700 900 800 0
-1 -1 250 225 0 275 525 250 0
-1 -1 100 200 -1 0 -1 -1 0
-1 -1 1100 1200 1075 1000 0 1100 0
-1 -1 0 500 325 400 600 0 0
-1 -1 -1 -1 -1 -1 -1 -1 0
"""
BR17_10 = """
0 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 1000000
-1 0 3 48 -1 -1 8 5 5 0 0 3 0 3 8 -1 5 3
-1 3 0 72 -1 48 48 24 24 3 3 5 3 0 48 -1 24 5
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 48 74 0 0 6 6 12 12 48 48 48 48 74 6 6 12 48
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 -1 8 0 0 5 5 5 -1 26 8 8 0 5
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 0 3 48 -1 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 0 3 48 48 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 0
-1 0 3 48 48 -1 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 0 72 -1 48 48 24 24 3 3 5 3 0 48 48 24 5
-1 8 50 6 6 -1 0 -1 8 8 8 8 -1 50 0 0 8 8
-1 8 50 6 -1 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""


def matrix(text: str) -> list[list[int]]:
    return [[int(cost) for cost in row.split()] for row in text.split("\n") if row]


OPTIMUM = {"ESC07": (matrix(ESC07), 2125), "br17.10": (matrix(BR17_10), 55)}
