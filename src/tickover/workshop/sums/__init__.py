"""The sums of the bench: each a question with its page, its data form, its command and its Python form.

A sum is written down once, in `catalogue`. May import `science`, `formats`, `sheets`, `pictures`, and read
`register` and `bench` through their queries. Nothing is written.
"""
