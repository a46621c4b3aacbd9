"""The work as it stands at every step: pieces along the axis, cuts, plan, replay."""

from .plan import Plan, Step
from .planning.order import make_plan
from .replay import replay

__all__ = ["Plan", "Step", "make_plan", "replay"]
