"""Beams of a crank under load: private workhorse."""
