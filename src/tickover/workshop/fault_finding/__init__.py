"""Fault finding: sessions, answers, what is likely, what to check next."""
