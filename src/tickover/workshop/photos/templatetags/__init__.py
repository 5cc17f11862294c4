"""Template tags that show a subject’s photos on its page."""
