"""Template tags of run-ups, for the pages of others."""
