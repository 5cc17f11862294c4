"""Deferred defects: what may wait, until when, why, and who accepted it; and the job that put it right.

Models and queries import `bench.models`, `register` and `people`; `bench.queries` reads them here, so that only
`actions` and `views` may import `bench.queries`.
"""
