"""The diaphragm metering system: when its needle opens, what flows, what mixture that makes, and its own figures.

`pop_off` holds the system itself; `flow`, `mixture` and `fit` build on it. Imports `science.core` and the fuel system.
"""
