"""Lessons 10 to 15."""
