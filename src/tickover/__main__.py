"""``python -m tickover`` does what the ``tickover`` command does."""

import sys

from tickover.cli import main

if __name__ == "__main__":
    sys.exit(main())
