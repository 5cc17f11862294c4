"""Template filters that every page prints amounts by."""
