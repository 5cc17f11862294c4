"""Screws: threads, torque and preload, scatter, tightening sequence, bolt torques.

Imports `core` only.
"""
