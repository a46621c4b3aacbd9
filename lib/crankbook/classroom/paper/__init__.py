"""Lessons away from the screen: handouts, slides, stills, and values in two systems."""
