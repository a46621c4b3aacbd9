"""Beams of a crank between centers: the private workhorse of squeeze, deflection and chatter."""

from .frame import Frame, build

__all__ = ["Frame", "build"]
