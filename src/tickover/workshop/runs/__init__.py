"""Run-ups: logger files and recordings, what they say about an engine, its baseline, and its tuning card."""
