"""The work as it stands at every step: pieces along the axis, cuts, plan, replay."""

from .order import ANSWERS, make_plan
from .plan import Plan, Step
from .replay import replay

__all__ = ["ANSWERS", "Plan", "Step", "make_plan", "replay"]
