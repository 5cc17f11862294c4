"""Jobs on the bench: work-card steps, readings, findings, second checks, release to service."""
