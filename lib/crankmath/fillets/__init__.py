"""Printed stress concentration factors."""

from .crank_rule import CrankRuleFactors, crank_rule_factors
from .notches import fatigue_factor, notch_length, notch_sensitivity
from .printed import fit_range, largest_shaft_fillet, stress_concentration

__all__ = [
    "CrankRuleFactors",
    "crank_rule_factors",
    "fatigue_factor",
    "fit_range",
    "largest_shaft_fillet",
    "notch_length",
    "notch_sensitivity",
    "stress_concentration",
]
