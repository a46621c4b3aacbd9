"""Stress factors of a crank's own two fillets at a web, solved in the solid and stored."""

from .solved import BOX, HALF_JOURNAL, Corner, factors

__all__ = ["BOX", "HALF_JOURNAL", "Corner", "factors"]
