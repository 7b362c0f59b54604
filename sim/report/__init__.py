"""Step 7 of the way: answers become words, pictures, pages and files."""
