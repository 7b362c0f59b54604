"""The what-if page: what it shows of a craft with figures moved, and the page itself."""
