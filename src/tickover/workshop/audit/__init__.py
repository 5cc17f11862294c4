"""Whether the book holds: verify, backup, restore."""
