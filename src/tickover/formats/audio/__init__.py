"""Sound recordings: WAV, FLAC, OGG, MP3 and M4A to samples."""
