"""Lessons 10 to 16."""
