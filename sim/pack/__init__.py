"""Step 5 of the way: specs, mass and physics become the records that a step reads."""
