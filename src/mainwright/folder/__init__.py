"""Job folders: bytes to objects and back, faults with file, line and column."""
