"""The part."""

from .crank import (
    EXAMPLES,
    Crank,
    Journal,
    Segment,
    Throw,
)

__all__ = [
    "EXAMPLES",
    "Crank",
    "Journal",
    "Segment",
    "Throw",
]
