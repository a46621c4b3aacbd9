"""Lessons 00 to 03."""
