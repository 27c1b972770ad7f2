"""Travel speed, aim thickness and pull of the lining head."""
