"""Several work cards as one: what acts do, whether an order can be done, what is shared, and in what order it goes.

May import `core`.
"""
