"""In which order do things cost the least one after the other, when some have to come before others?

The sequential ordering problem: a path from the first node to the last through all others, with precedences, and
costs that may differ there and back. A bound is proven with every answer.

May import `core`.
"""

from tickover.science.planning.sequential_ordering.solve import SequentialOrder, sequential_order

__all__ = ["SequentialOrder", "sequential_order"]
