"""Benchmarks: one module for each thing worth timing, each with a ``main()`` that prints its figures.

They may import anything of tickover; nothing imports them. ``make bench`` runs all of them in turn.
"""
