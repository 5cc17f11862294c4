"""What a visit of an engine would do: everything that asks to be done, what it takes, and when it would be ready.

May import `kernel`, `people`, `register`, `programme`, `visits`, `defects`.
"""
