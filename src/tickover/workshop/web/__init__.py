"""The pages: one folder a place. Nothing imports it."""
