"""Run-ups: recordings taken apart, judged, compared; the tuning card."""
