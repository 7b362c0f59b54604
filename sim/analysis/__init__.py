"""Questions asked of the model, each in a file of its own."""
