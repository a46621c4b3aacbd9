"""The class kit."""
