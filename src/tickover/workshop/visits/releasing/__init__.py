"""Release to service: the act and what refuses it, the checks that others register, and who signed by which rules.

Imports the job's models, steps and lock; those who have something against a release import `release_checks`.
"""
