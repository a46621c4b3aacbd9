"""Corners: a crank's own, solved in the solid and stored."""
