"""Money: its worth over years, and sums of amounts that are known only between limits."""
