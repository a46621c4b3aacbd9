"""Forms that a reader fills in."""
