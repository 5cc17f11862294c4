"""How numbers, dates and units are printed. Imports nothing of the workshop."""
