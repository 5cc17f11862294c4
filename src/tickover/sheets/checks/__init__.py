"""What must agree within a type sheet: ids that are named exist, kits hold what their steps use.

Each check gives its complaints with the place in the file. Imports `sheets.schema`; reads no file.
"""
