"""Flights to look at: trajectories, the craft's shape, events, and the page round them."""
