"""One module a group of pages."""
