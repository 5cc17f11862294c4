"""Changes of the tables, one after the other."""
