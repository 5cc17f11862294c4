"""An invented workshop, made from a seed through the same actions that people use.

May import everything below it; `commands` builds it where a workshop is opened for the first time.
"""
