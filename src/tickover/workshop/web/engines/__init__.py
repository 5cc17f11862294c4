"""Pages of an engine: the list, the engine, its time, components and papers.

May import every app below the pages. Other pages take an engine from `engine_page`.
"""
