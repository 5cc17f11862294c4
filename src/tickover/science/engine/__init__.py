"""The machine: cylinder, compression, crank, ports, squish, balance, leaks, drive, propeller.

Imports `core`, `atmosphere` and `fuel_system`.
"""
