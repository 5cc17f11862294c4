"""Sound recordings: WAV, FLAC, OGG, MP3 and M4A to samples.

Imports `science.sound` and the errors of `formats`; the reader for M4A is an extra.
"""
