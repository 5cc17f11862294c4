"""Pages of photos: add, show, withdraw; pictures are sent without their position.

Shows `workshop.photos`; may import every app below the pages.
"""
