"""Laws of nature, in five folders that never import each other."""
