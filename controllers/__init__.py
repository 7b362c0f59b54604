"""Compiled control laws; they see estimates and commands, never the truth."""
