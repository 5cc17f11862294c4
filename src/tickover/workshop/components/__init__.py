"""Components with a time of their own: fitted, removed, swapped, overhauled."""
