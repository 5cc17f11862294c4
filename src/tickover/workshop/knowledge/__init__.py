"""Type sheets in the browser: read them, change them in a draft, keep a draft as a new version.

May import `sheets`, `formats` and other apps' queries and actions.
"""
