"""Published values with their source, edition and status."""
