"""Squeeze between centers and the spacers that take it."""

from .spacer_plan import (
    Spacer,
    listed,
    main_samples,
    plan_for,
    say,
)
from .squeezed import (
    Squeezed,
    misfit_limits,
    runout_for_misfit,
    squeeze,
)
from .thrust import (
    center_pressure,
    center_thrust_limit,
    closure_thrust,
    felt_gap,
    screw_thrust,
    shim_pack,
    spring_thrust,
)

__all__ = [
    "Spacer",
    "Squeezed",
    "center_pressure",
    "center_thrust_limit",
    "closure_thrust",
    "felt_gap",
    "listed",
    "main_samples",
    "misfit_limits",
    "plan_for",
    "runout_for_misfit",
    "say",
    "screw_thrust",
    "shim_pack",
    "spring_thrust",
    "squeeze",
]
