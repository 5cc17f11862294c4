"""Template tags that show deferred defects on the pages of others."""
