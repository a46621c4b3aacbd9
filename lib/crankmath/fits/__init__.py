"""Limits and fits."""

from .iso_286 import (
    Fit,
    Limits,
    fit,
    in_workshop_unit,
    largest_and_smallest,
    limits,
    pair,
    warmed,
)

__all__ = [
    "Fit",
    "Limits",
    "fit",
    "in_workshop_unit",
    "largest_and_smallest",
    "limits",
    "pair",
    "warmed",
]
