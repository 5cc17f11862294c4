"""How every number, date and unit is printed that a person reads.

A second language begins here, with its decimal mark, its dates and its names of units. The sentences lie where they
are decided: in the templates of `workshop/web`, and as literals in `queries`, `actions` and `science`.

Imports `formats.text`; nothing of the workshop.
"""
