"""A workshop's bench book that computes, for people who keep small two-stroke aircraft engines.

Rooms, in the only order in which they may import (each from those to its left):
``science`` <- ``formats`` <- ``sheets`` <- ``wording`` <- ``workshop`` <- ``demo`` <- ``commands`` <- ``cli``.
"""

__version__ = "0.2.0"
