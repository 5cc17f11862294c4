"""What may be in a type sheet: one file for each kind of row, the whole in `type_sheet`.

Imports `science`, the errors of `sheets` and pydantic.
"""
