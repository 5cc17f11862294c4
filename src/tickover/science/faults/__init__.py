"""What causes what on an engine in trouble, what the evidence makes of it, and what to check next.

Begin at `network`, then `posterior`; `next` chooses the check, `repair` when to stop. Imports `core` and `planning`.
"""

from tickover.science.faults.network import (
    LARGEST_MULTIPLIER,
    NOT_LISTED,
    Evidence,
    Network,
    noisy_or,
)

__all__ = [
    "LARGEST_MULTIPLIER",
    "NOT_LISTED",
    "Evidence",
    "Network",
    "noisy_or",
]
