"""Step 4 of the way: everything compiled into one step of one flight."""
