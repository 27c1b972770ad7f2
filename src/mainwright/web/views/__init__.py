"""What a place shows, worded for its reader: one module a place. Nothing is computed here."""
