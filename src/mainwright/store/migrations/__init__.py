"""The schema's history: numbered steps, frozen once they are released."""
