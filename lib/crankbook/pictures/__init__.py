"""Draws: numbers in, figure or moving items out. No physics."""
