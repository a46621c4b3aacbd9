"""Balance of a crank."""

from .grades import (
    balance_grade,
    inherently_balanced,
    permissible_unbalance,
    unbalance_at_mains,
    unbalance_in_planes,
)

__all__ = [
    "balance_grade",
    "inherently_balanced",
    "permissible_unbalance",
    "unbalance_at_mains",
    "unbalance_in_planes",
]
