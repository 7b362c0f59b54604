"""Step 8 of the way: the commands that a builder types."""
