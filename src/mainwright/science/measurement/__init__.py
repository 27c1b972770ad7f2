"""Statistics of pump tests and readings."""
