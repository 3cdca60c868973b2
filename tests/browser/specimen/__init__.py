"""A page with every component, for visual checks and for the accessibility rules; it is served to tests only."""
