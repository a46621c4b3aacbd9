"""Stress factors of a crank's own corners, solved in the solid: the face of ``corners``."""

from .corners.crank_corner import BOX, Corner, factors

__all__ = ["BOX", "Corner", "factors"]
