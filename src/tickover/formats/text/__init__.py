"""Text as people and programs write it: numbers, times, units, delimited lines."""
