"""How every number, date and unit is printed that a person reads. A second language, say German, begins here.

`amounts` has the decimal mark, the dates and the names of units; `sources` says where a figure comes from. Sentences
are still in English where they are decided: in the templates of `workshop/web` and `workshop/papers`, and as literals
in `queries`, `actions`, `science` and the type sheets. To translate one is to move it here first.

Imports `formats.text`; nothing of the workshop.
"""
