"""Step 5 of the way: records in, flights and ensembles out."""
