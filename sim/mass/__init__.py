"""Parts become mass, centre of gravity and inertia, each with its spread."""
