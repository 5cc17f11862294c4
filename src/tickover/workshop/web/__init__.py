"""The pages: a folder for each place, with its addresses, views, forms and templates.

Imports every app; nothing imports it.
"""
