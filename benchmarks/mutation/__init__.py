"""Does a test notice when a judgement is changed? ``make mutants``, or ``python -m benchmarks.mutation [MODULE ...]``.

Each mutant is a module with one change: a comparison, a number, a sign, an and, a minimum. A mutant that no test
notices survives. `judgements.toml` names the modules, their tests, and the survivors that cannot matter, with reasons.
"""
