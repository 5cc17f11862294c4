"""From a trace to figures: phases, measures, how the throttle was opened, steps in rpm.

Imports `science.core`; knows nothing of verdicts.
"""
