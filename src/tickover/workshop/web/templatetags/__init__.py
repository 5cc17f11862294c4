"""Filters and tags of the pages. They print; they decide nothing."""
