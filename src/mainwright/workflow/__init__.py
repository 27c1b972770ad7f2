"""One function for each thing a person does, with its ports."""
