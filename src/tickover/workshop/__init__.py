"""The workshop: a Django project with one app for each place in it.

An app reads another through its `queries` and writes through its `actions`; nothing else writes.
May import `science`, `formats` and `sheets`; is imported by `cli` and `demo`.
"""
