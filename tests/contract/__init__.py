"""One suite for every store and feed."""
