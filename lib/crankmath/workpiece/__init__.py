"""The work as it stands at every step: pieces along the axis, cuts, plan, replay."""

from .order import make_plan
from .plan import Plan, Step
from .replay import replay

__all__ = ["Plan", "Step", "make_plan", "replay"]
