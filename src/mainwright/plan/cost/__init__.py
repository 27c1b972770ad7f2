"""What the works may cost: prices, outputs and chances together, the tender, and other ways over the years."""
