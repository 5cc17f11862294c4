"""Template filters of the bench. They look up words of the type sheet; they read no tables."""
