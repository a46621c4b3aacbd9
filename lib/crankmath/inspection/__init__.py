"""Measuring a crank."""

from .diagnosis import find_causes
from .runout import Runout, bend_of_mains, fit_runout
from .runout_budgets import (
    expected_budget,
    runout_budget,
    runout_verdict,
    telling_division,
    usual_runout,
)
from .vee_blocks import vee_factor

__all__ = [
    "find_causes",
    "Runout",
    "bend_of_mains",
    "expected_budget",
    "fit_runout",
    "runout_budget",
    "runout_verdict",
    "telling_division",
    "usual_runout",
    "vee_factor",
]
