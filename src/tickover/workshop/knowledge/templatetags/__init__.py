"""Template filters of the type sheets’ pages. They word what the sheet says; they read no tables."""
