"""Lessons 04 to 09."""
