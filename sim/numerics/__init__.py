"""Compiled building blocks with no physics in them."""
