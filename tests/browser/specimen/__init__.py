"""A page with every component, for the eyes and for the accessibility rules; it is served to tests only."""
