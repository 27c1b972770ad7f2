"""When each part of the work is done, and by whom."""
