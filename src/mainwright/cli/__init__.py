"""At the prompt."""
