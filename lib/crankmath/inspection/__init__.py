"""Measuring a crank."""

from .runout import (
    Runout,
    bend_of_mains,
    fit_runout,
    runout_budget,
)
from .vee_blocks import (
    vee_factor,
)

__all__ = [
    "Runout",
    "bend_of_mains",
    "fit_runout",
    "runout_budget",
    "vee_factor",
]
