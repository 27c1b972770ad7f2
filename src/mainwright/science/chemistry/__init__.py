"""Water: what it holds, and what it does to mortar."""
