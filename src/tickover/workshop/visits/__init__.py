"""Work on an engine: its cards and steps, second checks, release."""
