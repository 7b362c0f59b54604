"""Loose fabric: threads between particles, and the air on each panel."""
