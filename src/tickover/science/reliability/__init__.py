"""How long parts last: Weibull, Kaplan-Meier, few or no failures, trends, renewals, replacement age, stock.

Imports `core` only.
"""
