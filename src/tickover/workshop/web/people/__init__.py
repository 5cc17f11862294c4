"""Pages of people: sign in, sign out, own account.

Shows `workshop.people`; may import every app below the pages.
"""
