"""Where the road is opened and what is lined in one run."""
