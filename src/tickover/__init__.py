"""A workshop's bench book that computes, for people who keep small two-stroke aircraft engines.

Rooms, in the only order in which they may import (each from those to its left):
``science`` <- ``formats`` <- ``sheets`` <- ``workshop`` <- ``cli``, ``demo``.
"""

__version__ = "0.1.0"
