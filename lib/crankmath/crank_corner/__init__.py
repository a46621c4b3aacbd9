"""Stress factors of a crank's own two fillets at a web, solved in the solid and stored."""

from .solved import BOX, Corner, factors

__all__ = ["BOX", "Corner", "factors"]
