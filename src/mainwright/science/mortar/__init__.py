"""Mix, hose flow and setting of cement mortar."""
