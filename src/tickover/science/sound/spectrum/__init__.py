"""Spectra of a recording, the comb of the firing rate and its path over time.

Imports the windows of `science.sound`; knows nothing of verdicts.
"""
