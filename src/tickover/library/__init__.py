"""What `import tickover` offers to a Python program: one function for each task, in the units of the trade.

Files come in as a path, as bytes or as an open file; days as dates; a quantity's unit is in its name. May import
science and formats; never a room of the workshop. The names are listed in `tickover/__init__.py`, which loads them
when they are first asked for.
"""
