"""Step 3 of the way: specs and mass become one flat record that compiled code reads by name."""
